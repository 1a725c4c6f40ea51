package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// A tool is a needle, a cannula or a syringe: the lists of both are kept in order alike.
type tool interface {
	trade.Instrument | trade.Syringe
}

// toolList is one of the two lists.
type toolList[T tool] struct {
	what, column string // what a tool of it is called, and the column that points at one
	lists        func(*Vocabulary) (tools []T, byID map[int64]int, byKey map[string]int)
	name         func(T) string
	parts        func(*T) (id *int64, retiredOn *string)
	filled       func(T) T
	add, put     func(context.Context, querier, T) (T, error)
	told         func(t, other T) string // what is on record of t beside its name, with the name where other has another
	line         func(*listChange, T, *toolChange[T])
}

// toolChange is what undoing a change of a tool takes.
type toolChange[T tool] struct {
	Before *T // nil where it was added
	After  T
}

// byID returns a tool as a transaction sees it. ErrNotFound if there is none.
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

// addBy adds a tool with a line in the history that says by whom. One that was retired is
// brought back as it is given now.
func (l toolList[T]) addBy(ctx context.Context, g *Group, t T, by Member) (added T, err error) {
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return err
		}
		tools, _, byKey := l.lists(v)
		there, is := pick(tools, byKey, trade.Fold(l.name(t)))
		number, retired := l.parts(&there)
		var before *T
		c := listChange{action: AddedAct, by: by}
		if is && *retired != "" {
			id, _ := l.parts(&t)
			*id, before, c.action = *number, &there, BroughtBackAct
			added, err = l.put(ctx, q, t)
		} else {
			added, err = l.add(ctx, q, t)
		}
		if err != nil {
			return err
		}
		c.after = l.told(added, added)
		l.line(&c, added, &toolChange[T]{before, added})
		_, err = g.noteListChange(ctx, q, c)
		return err
	})
	return added, err
}

// change makes a traced change of one tool. What was tested with it is estimated anew.
func (l toolList[T]) change(ctx context.Context, g *Group, id int64, action Action, by Member, reason string,
	change func(*T) error) (after T, err error) {
	if reason, err = checkReason(reason); err != nil {
		return after, err
	}
	err = g.store.inTx(ctx, func(q querier) error {
		by, err := g.resolveMember(ctx, q, by)
		if err != nil {
			return err
		}
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
		c := listChange{action: action, by: by, reason: reason}
		if action == PutRightAct {
			c.before, c.after = l.told(before, after), l.told(after, before)
		}
		l.line(&c, after, &toolChange[T]{&before, after})
		_, err = g.noteListChange(ctx, q, c)
		return err
	})
	if err != nil {
		return after, err
	}
	_ = g.bringUpToDate(ctx, goBy) // the next question does it
	return after, nil
}

// retire says that a tool is no longer used, or with back that it is used again.
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

// undo puts back what a change changed; a tool that was added goes where nobody has used
// it since.
func (l toolList[T]) undo(ctx context.Context, g *Group, q querier, c *toolChange[T]) error {
	id, _ := l.parts(&c.After)
	now, err := l.byID(ctx, g, q, *id)
	if err != nil {
		return err
	}
	if now != c.After {
		return trade.Refuse("undo", "%s has been changed since: undo that first", l.name(now))
	}
	if c.Before != nil {
		_, err = l.put(ctx, q, *c.Before)
		return err
	}
	if err := g.unused(ctx, q, l.column, *id, l.name(now)); err != nil {
		return err
	}
	_, retired := l.parts(&now)
	if *retired, err = g.today(ctx, q); err != nil { // as good as gone, and its number is not given twice
		return err
	}
	_, err = l.put(ctx, q, now)
	return err
}

// testedWith has every product tested with a tool estimated anew.
func (l toolList[T]) testedWith(ctx context.Context, g *Group, q querier, id int64) error {
	_, err := q.Exec(ctx, `
		UPDATE products SET log_version = log_version + 1
		WHERE community_id = ? AND id IN (
			SELECT product_id FROM tests WHERE community_id = ? AND `+l.column+` = ?)`, g.id, g.id, id)
	return err
}
