package discord

import (
	"context"
	"strings"

	"holdbench/internal/commands"
)

// componentUsed answers a button or a list. What it asks for stands in it; it is asked
// as if whoever pressed had typed it, with their rights as they are now.
func (t *turn) componentUsed(ctx context.Context) {
	req, server, err := t.pressed()
	if err != nil {
		t.showing = asNew
		t.finish(ctx, false, t.stale(req.Command))
		return
	}
	t.server, t.command = server, t.bot.named(req.Command)
	if t.showing != openly && commands.WantsForm(req) {
		t.openForm(ctx, req)
		return
	}
	t.finish(ctx, t.bot.slow(req.Command), func(ctx context.Context) message { return t.ask(ctx, req) })
}

// pressed is the request of what was pressed, the server whose group it asks, and sets
// where the answer goes. With an error the request may still tell the command.
func (t *turn) pressed() (req commands.Request, server string, err error) {
	id := t.ix.data.At("custom_id").Text()
	if id == "" {
		return req, "", errNotARequest
	}
	kind, rest := id[0], id[1:]
	var values []string
	for _, v := range t.ix.data.At("values").Items() {
		values = append(values, v.Text())
	}
	switch kind {
	case askKind:
		return t.bot.carried(t.ix.server, rest)
	case askHere:
		t.showing = t.here()
		return t.bot.carried(t.ix.server, rest)
	case showKind:
		t.showing = openly
		return t.bot.carried(t.ix.server, rest)
	case groupKind:
		if len(values) == 1 {
			rest, t.showing = values[0], inPlace
		}
		req, server, err = t.bot.carried(t.ix.server, rest)
		t.switching = err == nil && t.ix.server == "" && server != ""
		t.choosing = !t.switching
		return req, server, err
	case listKind, listHere:
		if kind == listHere {
			t.showing = t.here()
		}
		at := max(strings.IndexAny(rest, ":~"), 0)
		list := commands.Pick{Option: rest[:at]}
		list.Request, server, err = t.bot.carried(t.ix.server, rest[at:])
		return list.Picked(values...), server, err
	case pickKind:
		if len(values) != 1 {
			break
		}
		if req, server, err = t.bot.carried(t.ix.server, values[0]); !commands.WantsForm(req) {
			t.showing = t.pickedFrom(rest)
		}
		return req, server, err
	}
	return req, "", errNotARequest
}

// pickedFrom says where the answer to a pick goes: in place of the list, if it
// is the picker's own. asker is whose list it is, "" where nobody else sees it.
func (t *turn) pickedFrom(asker string) showing {
	if asker == "" || asker == t.ix.person.id {
		return inPlace
	}
	return asNew
}

// here is in place of what was pressed, where nobody else reads that.
func (t *turn) here() showing {
	if t.ix.server == "" || t.ix.source.At("flags").Whole()&flagHidden != 0 {
		return inPlace
	}
	return asNew
}
