package config

import (
	"fmt"
	"io"
	"os"
	"strings"
)

// maxTokenFile is far more than any token has, and keeps a mistyped path from reading a whole disk.
const maxTokenFile = 4096 // bytes

// readToken reads the token from its file, if the settings name one. White space around it is dropped.
func (c *Config) readToken() (err error) {
	path := c.Discord.TokenFile
	if path == "" {
		return nil
	}
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("discord.token_file: %w", err)
	}
	defer file.Close() // it was only read
	text, err := io.ReadAll(io.LimitReader(file, maxTokenFile+1))
	if err != nil {
		return fmt.Errorf("discord.token_file: %w", err)
	}
	token := strings.TrimSpace(string(text))
	if token == "" || len(text) > maxTokenFile || strings.ContainsAny(token, " \t\r\n") {
		return fmt.Errorf("discord.token_file: %s does not hold one token and nothing else", path)
	}
	c.Discord.Token, c.origin["discord.token"] = Secret(token), "discord.token_file"
	return nil
}
