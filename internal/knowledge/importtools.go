package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// toolImport is a file of needles and cannulas, or of syringes, on its way into the store.
type toolImport[T tool] struct {
	g     *Group
	list  toolList[T]
	known map[string]*plannedTool[T] // by folded name
	// complete returns the tool on the list with what the file has beyond it, or a *FieldError
	// where the file contradicts it.
	complete func(listed, file T) (T, error)
}

// plannedTool is a tool of the list or of the file.
type plannedTool[T any] struct {
	tool          T
	stored, waits bool // it is in the store; it waits to be stored
}

func newToolImport[T tool](g *Group, v *Vocabulary, list toolList[T],
	complete func(listed, file T) (T, error)) *toolImport[T] {
	in := &toolImport[T]{g: g, list: list, known: make(map[string]*plannedTool[T]), complete: complete}
	all, _, _ := list.lists(v)
	for _, tool := range all {
		in.known[trade.Fold(list.name(tool))] = &plannedTool[T]{tool: tool, stored: true}
	}
	return in
}

// plan plans to add a tool, or to fill in what was not recorded of it.
func (in *toolImport[T]) plan(tool T) (*plannedTool[T], become, error) {
	key := trade.Fold(in.list.name(tool))
	old := in.known[key]
	if old == nil {
		in.known[key] = &plannedTool[T]{tool: in.list.filled(tool), waits: true}
		return in.known[key], added, nil
	}
	complete, err := in.complete(old.tool, tool)
	if err != nil || complete == old.tool {
		return nil, already, err
	}
	old.tool = complete
	if old.waits {
		return nil, changed, nil // it is stored with an earlier line
	}
	old.waits = true
	return old, changed, nil
}

// store stores tools. One that somebody has added since the file was read is filled in.
func (in *toolImport[T]) store(ctx context.Context, q querier, tools []*plannedTool[T]) (all []become, err error) {
	v, err := in.g.vocabulary(ctx, q)
	if err != nil {
		return nil, err
	}
	listed, _, byName := in.list.lists(v)
	for _, p := range tools {
		if old, there := pick(listed, byName, trade.Fold(in.list.name(p.tool))); there && !p.stored {
			if p.tool, err = in.complete(old, p.tool); err != nil {
				return nil, err
			}
			p.stored = true
		}
		put, became := in.list.add, added
		if p.stored {
			put, became = in.list.put, changed
		}
		if p.tool, err = put(ctx, q, p.tool); err != nil {
			return nil, err
		}
		p.stored, p.waits = true, false
		all = append(all, became)
	}
	return all, nil
}
