package main

import (
	"context"
	"io"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
)

// csvKind is one kind of file that can be taken in and given out.
type csvKind struct {
	name  string
	read  func(*knowledge.Group) func(context.Context, io.Reader, bool) (knowledge.ImportReport, error)
	write func(*knowledge.Group) func(context.Context, io.Writer) error
}

type (
	importer = func(context.Context, io.Reader, bool) (knowledge.ImportReport, error)
	exporter = func(context.Context, io.Writer) error
)

// csvKinds lists the kinds in the order in which they have to come in: tests
// name products, instruments and members.
func csvKinds() []csvKind {
	return []csvKind{
		{"products", func(g *knowledge.Group) importer { return g.ImportProducts },
			func(g *knowledge.Group) exporter { return g.ExportProducts }},
		{"instruments", func(g *knowledge.Group) importer { return g.ImportInstruments },
			func(g *knowledge.Group) exporter { return g.ExportInstruments }},
		{"members", func(g *knowledge.Group) importer { return g.ImportMembers },
			func(g *knowledge.Group) exporter { return g.ExportMembers }},
		{"stock", func(g *knowledge.Group) importer { return g.ImportStock },
			func(g *knowledge.Group) exporter { return g.ExportStock }},
		{"tests", func(g *knowledge.Group) importer { return g.ImportTests },
			func(g *knowledge.Group) exporter { return g.ExportTests }},
	}
}

// exportKinds lists what can be given out: the same, and the history, which is for
// reading alone.
func exportKinds() []csvKind {
	return append(csvKinds(), csvKind{name: "history", write: func(g *knowledge.Group) exporter { return g.ExportHistory }})
}

// csvKindNamed is the kind of that name, or a usageError that lists them.
func csvKindNamed(kinds []csvKind, name string) (csvKind, error) {
	i := slices.IndexFunc(kinds, func(k csvKind) bool { return k.name == name })
	if i < 0 {
		return csvKind{}, misused("%q is none of %s", name, kindNames(kinds))
	}
	return kinds[i], nil
}

func kindNames(kinds []csvKind) string {
	var names []string
	for _, k := range kinds {
		names = append(names, k.name)
	}
	return strings.Join(names, ", ")
}
