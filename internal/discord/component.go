package discord

import (
	"context"
	"strings"

	"holdbench/internal/commands"
)

// componentUsed answers a button or a list. Its request is answered as if the member who pressed it had typed it, with
// the rights that the member has now.
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

// pressed returns the request of the button or list, and the server whose group it asks; it also sets where the answer
// goes. With an error the request may still name the command.
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

// pickedFrom says where the answer to a pick goes: in place of the list, if the list is the picker's own. asker is the
// list's owner, "" if nobody else can see it.
func (t *turn) pickedFrom(asker string) showing {
	if asker == "" || asker == t.ix.person.id {
		return inPlace
	}
	return asNew
}

// here is in place of the message that was pressed on, if nobody else can read it.
func (t *turn) here() showing {
	if t.ix.server == "" || t.ix.source.At("flags").Whole()&flagHidden != 0 {
		return inPlace
	}
	return asNew
}
