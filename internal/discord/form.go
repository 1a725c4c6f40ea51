package discord

import (
	"context"
	"time"

	"holdbench/internal/commands"
)

// formLimit is how long a form may take to be filled in by the command: a form
// cannot be promised for later.
const formLimit = 1800 * time.Millisecond

// openForm shows a command's form, filled in as the command says.
func (t *turn) openForm(ctx context.Context, req commands.Request) {
	within, stop := context.WithDeadline(ctx, t.heard.Add(formLimit))
	defer stop()
	if m, settled := t.settle(within, req); !settled {
		t.finish(ctx, false, func(context.Context) message { return m })
		return
	}
	open, card := commands.Open(within, t.env, t.signed(req))
	if open == nil {
		t.finish(ctx, false, func(context.Context) message { return t.bot.message(card, t.place(), "") })
		return
	}
	base := commands.Request{Command: req.Command, Link: req.Link}
	m := modal{CustomID: string(formKind) + t.bot.carry(t.place(), base, maxCustomID-1), Title: open.Title}
	for _, f := range open.Fields {
		m.Components = append(m.Components, field(f, open.Filled[f.Name]))
	}
	_ = t.first(ctx, callback{Type: answerForm, Data: m}, nil) // told to the log in there
}

// field is one line of a form.
func field(f commands.Field, value string) component {
	input := component{Type: textKind, CustomID: f.Name, Style: shortText, MaxLength: min(f.Most, maxText), Required: &f.Required}
	if f.Long {
		input.Style = longText
	} else {
		value = tidy(value)
	}
	input.Value = plain(value, input.MaxLength)
	return component{Type: labelKind, Label: f.Label, Description: f.Help, Component: &input}
}

// submit answers a filled-in form.
func (t *turn) submit(ctx context.Context) {
	id := t.ix.data.at("custom_id").text()
	if id == "" || id[0] != formKind {
		t.finish(ctx, false, t.stale)
		return
	}
	req, home, err := t.bot.carried(t.ix.server, id[1:])
	if err != nil {
		t.finish(ctx, false, t.stale)
		return
	}
	t.home = home
	req.Filled = map[string]string{}
	collect(t.ix.data.at("components"), req.Filled)
	t.finish(ctx, t.bot.slow(req.Command), func(ctx context.Context) message { return t.ask(ctx, req) })
}

// collect takes the fields out of a form, in whatever they are wrapped.
func collect(parts node, filled map[string]string) {
	for _, part := range parts.items() {
		if name := part.at("custom_id").text(); name != "" {
			filled[name] = part.at("value").text()
		}
		collect(part.at("components"), filled)
		if inner := part.at("component"); inner.there() {
			collect(node{[]any{inner.value}}, filled)
		}
	}
}
