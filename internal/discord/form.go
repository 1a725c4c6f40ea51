package discord

import (
	"context"
	"errors"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/fault"
)

// formLimit is how long the command may take to fill in a form, which cannot be deferred.
const formLimit = 1800 * time.Millisecond

// openForm shows a command's form, filled in by the command, or empty if that takes too long.
func (t *turn) openForm(ctx context.Context, req commands.Request) {
	type opened struct {
		form *commands.OpenForm
		said message // instead of a form
	}
	made := make(chan opened, 1)
	go func() {
		defer func() {
			if r := recover(); r != nil {
				made <- opened{said: t.broken(ctx, fault.Panicked(r))}
			}
		}()
		form, said := t.fill(ctx, req)
		made <- opened{form, said}
	}()
	late := time.NewTimer(time.Until(t.received.Add(formLimit)))
	defer late.Stop()
	o, at := opened{}, place{server: t.ix.server}
	select {
	case o = <-made:
		at = t.place() // with the group that the form was filled in from
	case <-late.C:
		o.form = commands.Empty(t.bot.commands[req.Command], req)
	}
	if o.form == nil {
		t.respond(ctx, o.said)
		return
	}
	base := commands.Request{Command: req.Command, Link: req.Link, Values: req.Keeping(o.form.Keep...)}
	kind := formKind
	if t.showing == inPlace {
		kind = formHere
	}
	m := modal{CustomID: t.bot.customID(kind, at, base), Title: o.form.Title}
	for _, f := range o.form.Fields {
		m.Components = append(m.Components, field(f, o.form.Filled[f.Name]))
	}
	_ = t.callback(ctx, callback{Type: answerForm, Data: m}, nil) // logs its errors
	t.bot.observe(t.command, t.became(message{outcome: Answered}, t.done), t.received)
}

// fill has the command fill in its form; nil if there is a message to show instead.
func (t *turn) fill(ctx context.Context, req commands.Request) (*commands.OpenForm, message) {
	if m, settled := t.settle(ctx, req); !settled {
		return nil, m
	}
	leave, err := t.bot.answerWork.enter(ctx, t.community())
	if errors.Is(err, errFull) {
		return nil, t.bot.message(commands.Busy(ctx, t.words()), t.place(), "")
	}
	if err != nil {
		return nil, t.broken(ctx, err)
	}
	defer leave()
	form, card := commands.Open(ctx, t.env, t.signed(req))
	if form == nil {
		return nil, t.bot.message(card, t.place(), "")
	}
	return form, message{}
}

// field is one line of a form.
func field(f commands.Field, value string) component {
	if f.Choices != nil {
		list := component{Type: selectKind, CustomID: f.Name, Required: &f.Required}
		for _, c := range f.Choices {
			list.Options = append(list.Options, option{label(c.Label, maxButtonLabel), c.Value, c.Value == value})
		}
		return component{Type: labelKind, Label: f.Label, Description: f.Help, Component: &list}
	}
	input := component{Type: textKind, CustomID: f.Name, Style: shortText, MaxLength: min(f.Most, maxText),
		Required: &f.Required}
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
	id := t.ix.data.At("custom_id").Text()
	if id != "" && id[0] == formHere {
		t.showing = t.here()
	} else if id == "" || id[0] != formKind {
		t.finish(ctx, false, t.stale(""))
		return
	}
	req, server, err := t.bot.carried(t.ix.server, id[1:])
	if err != nil {
		t.finish(ctx, false, t.stale(req.Command))
		return
	}
	t.server, t.command = server, t.bot.named(req.Command)
	req.Filled = map[string]string{}
	collect(t.ix.data.At("components").Items(), req.Filled)
	t.finish(ctx, t.bot.slow(req.Command), func(ctx context.Context) message { return t.ask(ctx, req) })
}

// collect reads the fields of a form, however they are nested.
func collect(parts []api.Node, filled map[string]string) {
	for _, part := range parts {
		if name := part.At("custom_id").Text(); name != "" {
			filled[name] = part.At("value").Text()
			if picked := part.At("values").Items(); len(picked) > 0 {
				filled[name] = picked[0].Text()
			}
		}
		collect(part.At("components").Items(), filled)
		if inner := part.At("component"); inner.There() {
			collect([]api.Node{inner}, filled)
		}
	}
}
