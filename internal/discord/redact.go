package discord

import (
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"strings"

	"holdbench/internal/commands"
)

// Interaction tokens stand in addresses, and addresses in the errors of HTTP
// clients. Whoever has one can answer in the bot's name for a quarter of an hour.
var (
	tokenPath = regexp.MustCompile(`(/(?:interactions|webhooks)/[^/\s?"]+/)[^/\s?"]+`)
	botToken  = regexp.MustCompile(`(?i)(\bbot\s+|"token"\s*:\s*")[\w-]{10,}\.[\w-]+(?:\.[\w-]+)?`)
)

const hidden = "***"

// redact takes tokens out of a text.
func (b *Bot) redact(text string) string {
	if b.settings.Token != "" {
		text = strings.ReplaceAll(text, b.settings.Token, hidden)
	}
	text = tokenPath.ReplaceAllString(text, "${1}"+hidden)
	return botToken.ReplaceAllString(text, "${1}"+hidden)
}

// quiet is an error without what is secret in it. Its cause can still be asked
// for.
type quiet struct {
	text  string
	cause error
}

func (q *quiet) Error() string { return q.text }
func (q *quiet) Unwrap() error { return q.cause }

// hush makes an error fit for the log: without secrets, and without what was typed.
func (b *Bot) hush(err error, typed ...string) error {
	if err == nil {
		return nil
	}
	var address *url.Error
	if errors.As(err, &address) {
		return &quiet{commands.Redact(b.redact(fmt.Sprintf("%s: %v", address.Op, address.Err)), typed...), address.Err}
	}
	return &quiet{commands.Redact(b.redact(err.Error()), typed...), err}
}
