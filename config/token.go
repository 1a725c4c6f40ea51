package config

import (
	"fmt"
	"io"
	"os"
	"strings"
)

// maxTokenFile is far beyond the length of any token, and keeps a slip of typing
// from reading a whole disk.
const maxTokenFile = 4096 // bytes

// readToken takes the token from its file, if the settings name one. A line end
// behind it is no part of it.
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
