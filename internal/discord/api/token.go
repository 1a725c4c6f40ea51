package api

import (
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"strings"

	"holdbench/internal/fault"
)

// Token is the bot's token, without "Bot ".
type Token string

// Interaction tokens are part of addresses, and HTTP clients quote addresses in their errors. Whoever has such a token
// can answer in the bot's name for a quarter of an hour.
var (
	tokenPath = regexp.MustCompile(`(/(?:interactions|webhooks)/[^/\s?"]+/)[^/\s?"]+`)
	botToken  = regexp.MustCompile(`(?i)(\bbot\s+|"token"\s*:\s*")[\w-]{10,}\.[\w-]+(?:\.[\w-]+)?`)
)

const hidden = "***"

// Redact removes tokens from a text: this one, any other bot's, and those of interactions.
func (t Token) Redact(text string) string {
	if t != "" {
		text = strings.ReplaceAll(text, string(t), hidden)
	}
	text = tokenPath.ReplaceAllString(text, "${1}"+hidden)
	return botToken.ReplaceAllString(text, "${1}"+hidden)
}

// Redacted returns an error that can be logged: its text has no tokens and no address of a request. nil stays nil.
func (t Token) Redacted(err error) error {
	if err == nil {
		return nil
	}
	if address, is := errors.AsType[*url.Error](err); is {
		return fault.Reworded(t.Redact(fmt.Sprintf("%s: %v", address.Op, address.Err)), address.Err)
	}
	return fault.Reworded(t.Redact(err.Error()), err)
}
