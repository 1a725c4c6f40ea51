package discord

import (
	"context"

	"holdbench/internal/commands"
)

// componentUsed answers a button or a list. What it asks for stands in it; it is asked
// as if whoever pressed had typed it, with their rights as they are now.
func (t *turn) componentUsed(ctx context.Context) {
	id := t.ix.data.At("custom_id").Text()
	kind, rest := byte(0), ""
	if id != "" {
		kind, rest = id[0], id[1:]
	}
	if kind == pickKind {
		t.showing = t.pickedFrom(rest)
		rest = ""
		if values := t.ix.data.At("values").Items(); len(values) == 1 {
			rest = values[0].Text()
		}
		kind = askKind
	}
	req, server, err := t.bot.carried(t.ix.server, rest)
	if err != nil || kind != askKind && kind != showKind {
		t.showing = asNew
		t.finish(ctx, false, t.stale(req.Command))
		return
	}
	t.server, t.command = server, t.bot.named(req.Command)
	if kind == showKind {
		t.showing = openly
	} else if commands.WantsForm(req) {
		t.showing = asNew
		t.openForm(ctx, req)
		return
	}
	t.finish(ctx, t.bot.slow(req.Command), func(ctx context.Context) message { return t.ask(ctx, req) })
}

// pickedFrom says where the answer to a pick goes: in place of the list, if it
// is the picker's own. asker is whose list it is, "" where nobody else sees it.
func (t *turn) pickedFrom(asker string) showing {
	if asker == "" || asker == t.ix.person.id {
		return inPlace
	}
	return asNew
}
