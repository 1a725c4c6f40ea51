package commands

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"log/slog"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/fault"
	"holdbench/internal/trade"
)

// Answer answers a request: it finds the command, checks that the asker may use it, reads the values, runs it and turns
// any error into a Card. Every Card leaves through here, and the caveats are added here and nowhere else, so that no
// command can answer without them. It never panics.
//
// Emergencies come first, because all that follows could turn the request away.
func Answer(ctx context.Context, env *Env, req Request) Card {
	if card, is := Emergency(ctx, env, req); is {
		return card
	}
	req, card := goOn(ctx, env, req)
	if card != nil {
		return complete(find(catalogue, req.Command).bearing(), *card)
	}
	waits, typed := env.recall(req).open, req.typedAlone()
	answered := answer(ctx, env, catalogue, req)
	if typed && waits.isOfTest() && env.recall(req).open != waits {
		answered.warn("Nothing was stored from the line before: %s.", waits.read())
	}
	return answered
}

func answer(ctx context.Context, env *Env, all []*Command, req Request) Card {
	cmd := find(all, req.Command)
	card, err := run(ctx, env, cmd, all, req)
	var back *questionBack
	switch {
	case errors.As(err, &back):
		card = back.Card
	case err != nil:
		card = correction(errorCard(ctx, env.faults(), cmd, err, req), cmd, req)
	}
	sayNext(ctx, env, cmd, req, &card)
	return complete(cmd.bearing(), card)
}

// bearing is the command's. A line that fits no command, a nil cmd, may have been typed at the bedside.
func (cmd *Command) bearing() Bearing {
	if cmd == nil {
		return Bearing{Bedside: true}
	}
	return cmd.Bearing
}

// complete adds to a Card what every Card has: the caveats, and figures for a program.
func complete(on Bearing, card Card) Card {
	if f, asked := card.Figures.(askedBack); asked || card.Figures == nil && (card.Refused || len(card.Choices) > 0) {
		card.Figures = f.of(card)
	}
	if card.Bare {
		return card
	}
	on.Bedside = on.Bedside || card.bedside
	card.Caveats, card.Brief = caveats(on, card), brief(on, card)
	if f, ok := card.Figures.(figures); ok {
		card.Figures = f.with(card.Warnings, card.Caveats)
	}
	return card
}

// figures are a Card's numbers for a program, together with its warnings and caveats.
type figures interface {
	with(warnings, caveats []string) figures
}

// run is everything in an answer that can go wrong. A panic becomes an error.
func run(ctx context.Context, env *Env, cmd *Command, all []*Command, req Request) (card Card, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fault.Panicked(r)
		}
	}()
	if cmd == nil {
		return Card{}, noCommand(req)
	}
	if !req.Asker.Role.Covers(cmd.Who) {
		return Card{}, refuse(notPermitted(cmd.Who, req.Asker), "/%s is not open to you.", cmd.Name)
	}
	call, err := cmd.call(ctx, env, all, req)
	if err != nil {
		return Card{}, err
	}
	if err := ctx.Err(); err != nil {
		return Card{}, err
	}
	if cmd.Admits {
		if call.by, err = req.Asker.member(ctx, env); err != nil {
			return Card{}, err
		}
	}
	return cmd.Run(ctx, env, call)
}

// errorCard tells the asker what went wrong. Of a fault of ours the asker sees a reference alone; the log has the cause
// under the same reference.
func errorCard(ctx context.Context, log *slog.Logger, cmd *Command, err error, req Request) Card {
	var user *UserError
	var field *trade.FieldError
	var domain *calc.RangeError
	switch {
	case errors.As(err, &user):
		return refusal(user.Problem, user.Hint)
	case errors.As(err, &field):
		return refusal(sentence(field.Error()), "")
	case errors.As(err, &domain):
		return refusal("That cannot be computed: "+domain.Error()+".", "")
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		return refusal("That took too long and was stopped.", "Please ask again.")
	}
	reference := NewReference()
	log.ErrorContext(ctx, "answer failed", append([]any{"reference", reference, "command", declared(cmd)},
		fault.Pairs(err, req.typedTexts()...)...)...)
	if c, is := storeFaultCard(err, reference); is {
		return c
	}
	c := Card{Title: "Something went wrong here, not with what you asked.", Failed: true}
	c.line("Reference %s: the trainer can find it in the log.", reference)
	return c
}

// declared is the name of a command, "" for none: what somebody typed does not go to the log.
func declared(cmd *Command) string {
	if cmd == nil {
		return ""
	}
	return cmd.Name
}

// faults is the log with the community in each line.
func (env *Env) faults() *slog.Logger {
	if env.Group == nil {
		return env.Log
	}
	return env.Log.With("community", env.Group.Ref())
}

// refusal is a card that says what was wrong with the request.
func refusal(problem, hint string) Card {
	c := Card{Title: problem, Refused: true}
	if hint != "" {
		c.line("%s", hint)
	}
	return c
}

// sentence gives words a capital at the front and a full stop.
func sentence(words string) string {
	if words == "" {
		return ""
	}
	return strings.TrimRight(capital(words), ". ") + "."
}

// capital gives words a capital at the front.
func capital(words string) string { return strings.ToUpper(words[:1]) + words[1:] }

// NewReference is eight hexadecimal digits that are unlikely to come twice.
func NewReference() string {
	var b [4]byte
	if _, err := rand.Read(b[:]); err != nil {
		return "unknown" // crypto/rand does not fail on the systems that Go supports
	}
	return hex.EncodeToString(b[:])
}
