package knowledge

import (
	"context"
	"reflect"

	"holdbench/internal/trade"
)

// listImport is a file of products, of instruments or of syringes on its way into the store.
type listImport[T any] struct {
	g      *Group
	known  map[string]*planned[T] // by folded name
	names  func(T) []string       // all names that one goes by, its own first
	filled func(T) T              // puts in what a new one leaves out
	check  func(T) error          // refuses one as it would be stored, and remembers it; nil: takes all
	add    func(context.Context, querier, T) (T, error)
	put    func(context.Context, querier, T) (T, error)
	// complete returns what is on the list with what the file has beyond it, or a *FieldError
	// if the file contradicts it.
	complete func(listed, file T) (T, error)
	// again checks one once more before it is stored, if the list has changed since it was read.
	again   func(ctx context.Context, q querier, p *planned[T]) error
	version int64 // of the vocabulary that was read
}

// planned is a thing of the list or of the file.
type planned[T any] struct {
	is            T
	stored, waits bool // it is in the store; it waits to be stored
}

// know makes the names of one known.
func (in *listImport[T]) know(p *planned[T]) {
	for _, name := range in.names(p.is) {
		in.known[trade.Fold(name)] = p
	}
}

// begin reads what is on the list.
func (in *listImport[T]) begin(ctx context.Context, q querier, g *Group, listed []T) (err error) {
	in.g, in.known = g, make(map[string]*planned[T])
	for _, one := range listed {
		in.know(&planned[T]{is: one, stored: true})
	}
	in.version, err = g.vocabularyVersion(ctx, q)
	return err
}

// plan plans to add one, or to fill in what was not recorded of it.
func (in *listImport[T]) plan(one T) (*planned[T], become, error) {
	old := in.known[trade.Fold(in.names(one)[0])]
	if old == nil {
		old, one = &planned[T]{}, in.filled(one)
	} else {
		complete, err := in.complete(old.is, one)
		if err != nil || reflect.DeepEqual(complete, old.is) {
			return nil, already, err
		}
		one = complete
	}
	if in.check != nil {
		if err := in.check(one); err != nil {
			return nil, 0, err
		}
	}
	old.is = one
	in.know(old)
	if old.waits {
		return nil, changed, nil // it is stored with an earlier line
	}
	old.waits = true
	if old.stored {
		return old, changed, nil
	}
	return old, added, nil
}

// store stores what was planned.
func (in *listImport[T]) store(ctx context.Context, q querier, all []*planned[T]) (became []become, err error) {
	version, err := in.g.vocabularyVersion(ctx, q)
	if err != nil {
		return nil, err
	}
	for _, p := range all {
		if version != in.version {
			if err := in.again(ctx, q, p); err != nil {
				return nil, err
			}
		}
		put, becomes := in.put, changed
		if !p.stored {
			put, becomes = in.add, added
		}
		if p.is, err = put(ctx, q, p.is); err != nil {
			return nil, err
		}
		p.stored, p.waits = true, false
		became = append(became, becomes)
	}
	if version == in.version { // else the next part is checked again as well
		in.version, err = in.g.vocabularyVersion(ctx, q)
	}
	return became, err
}

// importOf is a file of needles and cannulas, or of syringes, on its way into the store. One
// that somebody has added since the file was read is filled in.
func (l toolList[T]) importOf(ctx context.Context, q querier, g *Group,
	complete func(listed, file T) (T, error)) (*listImport[T], error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return nil, err
	}
	in := &listImport[T]{filled: l.filled, add: l.add, put: l.put, complete: complete,
		names: func(tool T) []string { return []string{l.name(tool)} },
		again: func(ctx context.Context, q querier, p *planned[T]) error {
			v, err := g.vocabulary(ctx, q)
			if err != nil {
				return err
			}
			listed, _, byName := l.lists(v)
			if old, there := pick(listed, byName, trade.Fold(l.name(p.is))); there && !p.stored {
				p.is, err = complete(old, p.is)
				p.stored = true
			}
			return err
		}}
	listed, _, _ := l.lists(v)
	return in, in.begin(ctx, q, g, listed)
}
