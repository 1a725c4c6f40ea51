package discord

import "holdbench/internal/fault"

// loggable is an error fit for the log: without tokens, and without what was typed.
// Its cause can still be asked for.
func (b *Bot) loggable(err error, typed ...string) error {
	if err == nil {
		return nil
	}
	err = b.client.Token.Redacted(err)
	return &reworded{fault.Redact(err.Error(), typed...), err}
}

type reworded struct {
	text  string
	cause error
}

func (r *reworded) Error() string { return r.text }
func (r *reworded) Unwrap() error { return r.cause }
