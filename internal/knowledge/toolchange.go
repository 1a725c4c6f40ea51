package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// A tool is an instrument or a syringe. Both lists are changed in the same way.
type tool interface {
	trade.Instrument | trade.Syringe
}

// toolList is the list of instruments or the list of syringes.
type toolList[T tool] struct {
	what     string // what a tool of it is called
	lists    func(*Vocabulary) (tools []T, byID map[int64]int, byKey map[string]int)
	name     func(T) string
	parts    func(*T) (id *int64, retiredOn *string)
	filled   func(T) T
	add, put func(context.Context, querier, T) (T, error)
	told     func(t, other T) string // what is on record of t beside its name, with the name where other has another
	line     func(id int64) listChange
}

// byID returns a tool as q sees it. ErrNotFound if there is none.
func (l toolList[T]) byID(ctx context.Context, g *Group, q querier, id int64) (found T, err error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return found, err
	}
	tools, byID, _ := l.lists(v)
	found, ok := pick(tools, byID, id)
	if !ok {
		return found, notFound(l.what)
	}
	return found, nil
}

// addBy adds a tool with a line in the history that says by whom. A retired one is brought
// back with what is given now.
func (l toolList[T]) addBy(ctx context.Context, g *Group, t T, by Member) (added T, err error) {
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return added, err
	}
	tools, _, byKey := l.lists(v)
	there, is := pick(tools, byKey, trade.Fold(l.name(t)))
	if number, retired := l.parts(&there); is && *retired != "" {
		return l.change(ctx, g, *number, BroughtBackAct, by, "", func(now *T) error {
			if _, retired := l.parts(now); *retired == "" {
				return ErrDuplicate // somebody else has just brought it back
			}
			id, _ := l.parts(&t)
			*id = *number
			*now = t
			return nil
		})
	}
	err = g.changeLists(ctx, by, listChange{}, func(q querier, c *listChange) error {
		if added, err = l.add(ctx, q, t); err != nil {
			return err
		}
		id, _ := l.parts(&added)
		line := l.line(*id)
		line.action, line.after, line.by = AddedAct, l.told(added, added), c.by
		*c = line
		return nil
	})
	return added, err
}

// change makes a change of one tool with a line in the history. Products tested with it are
// estimated anew.
func (l toolList[T]) change(ctx context.Context, g *Group, id int64, action Action, by Member, reason string,
	change func(*T) error) (after T, err error) {
	line := l.line(id)
	line.reason = reason
	err = g.changeLists(ctx, by, line, func(q querier, c *listChange) error {
		before, err := l.byID(ctx, g, q, id)
		if err != nil {
			return err
		}
		after = before
		if err := change(&after); err != nil {
			return err
		}
		if after = l.filled(after); after == before {
			return nil // it is so already
		}
		if after, err = l.put(ctx, q, after); err != nil {
			return err
		}
		c.action, c.before, c.after = action, l.told(before, after), l.told(after, before)
		if c.before == c.after {
			c.before, c.after = "", ""
		}
		return nil
	})
	if err != nil {
		return after, err
	}
	_ = g.bringUpToDate(ctx, goBy) // if it fails, the next question does it
	return after, nil
}

// retire retires a tool, or with back brings it back.
func (l toolList[T]) retire(ctx context.Context, g *Group, id int64, back bool, by Member,
	reason string) (t T, err error) {
	day, err := g.retiringDay(ctx, back)
	if err != nil {
		return t, err
	}
	action := RetiredAct
	if back {
		action = BroughtBackAct
	}
	return l.change(ctx, g, id, action, by, reason, func(t *T) error {
		if _, retired := l.parts(t); (*retired == "") != (day == "") {
			*retired = day
		}
		return nil
	})
}

// testedWith has every product tested with a tool estimated anew. column points at the tool.
func (g *Group) testedWith(ctx context.Context, q querier, column string, id int64) error {
	return q.do(ctx, `
		UPDATE products SET log_version = log_version + 1
		WHERE community_id = ? AND id IN (
			SELECT product_id FROM tests WHERE community_id = ? AND `+column+` = ?)`, g.id, g.id, id)
}
