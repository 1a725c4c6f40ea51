package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/room"
)

// patience is how long an answer may take.
const patience = 30 * time.Second

func askSubcommand() subcommand {
	return subcommand{
		name: "ask", usage: `"QUESTION" [--json]`, summary: "answer once; --json gives the figures as one JSON object",
		flags: func(f *flag.FlagSet) { f.Bool("json", false, "one JSON object") },
		run:   runAsk,
	}
}

func runAsk(ctx context.Context, call *invocation) error {
	question := strings.Join(call.args, " ")
	if len(call.args) == 0 {
		return misused("ask what?")
	}
	err := call.withCommunity(ctx, func(c *community) error {
		if c.demo {
			if _, err := fmt.Fprintln(call.stderr, "Demo data, all invented."); err != nil {
				return err
			}
		}
		ctx, stop := context.WithTimeout(ctx, patience)
		defer stop()
		card := commands.Answer(ctx, c.env, commands.Typed(question, c.asker))
		return show(call, card)
	})
	if err != nil {
		bare := &commands.Env{Now: time.Now, Log: slog.New(slog.DiscardHandler)}
		if card, is := commands.Emergency(ctx, bare, commands.Typed(question, commands.Asker{})); is {
			return show(call, card) // the emergency direction needs no store
		}
	}
	return err
}

// show prints the card as text and writes its picture and files to the current folder; with --json it prints the
// card's figures instead. A card about a fault of the program is an error as well.
func show(call *invocation, card commands.Card) error {
	if card.Failed {
		return errors.New(strings.TrimSpace(card.Text()))
	}
	if !call.flagged("json") {
		card, err := new(room.Folder).Keep(card)
		if err != nil {
			return err
		}
		_, err = fmt.Fprint(call.stdout, card.Text())
		return err
	}
	if card.Figures == nil {
		return misused("that answer has no figures; --json is for questions about a hold")
	}
	encoder := json.NewEncoder(call.stdout)
	encoder.SetEscapeHTML(false)
	return encoder.Encode(card.Figures)
}
