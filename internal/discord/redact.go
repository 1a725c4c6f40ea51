package discord

import "holdbench/internal/fault"

// loggable returns an error that can be logged: its text has no tokens and nothing that was typed.
func (b *Bot) loggable(err error, typed ...string) error {
	if err == nil {
		return nil
	}
	err = b.client.Token.Redacted(err)
	return fault.Reworded(fault.Redact(err.Error(), typed...), err)
}
