package main

import (
	"context"
	"io"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
)

// csvKind is one kind of CSV file that can be imported and exported.
type csvKind struct {
	name  string
	read  func(*knowledge.Group, context.Context, io.Reader, bool) (knowledge.ImportReport, error)
	write func(*knowledge.Group, context.Context, io.Writer) error
}

// csvKinds lists the kinds in the order in which they must be imported: tests name products, instruments, members and
// syringes.
func csvKinds() []csvKind {
	return []csvKind{
		{"products", (*knowledge.Group).ImportProducts, (*knowledge.Group).ExportProducts},
		{"instruments", (*knowledge.Group).ImportInstruments, (*knowledge.Group).ExportInstruments},
		{"members", (*knowledge.Group).ImportMembers, (*knowledge.Group).ExportMembers},
		{"syringes", (*knowledge.Group).ImportSyringes, (*knowledge.Group).ExportSyringes},
		{"stock", (*knowledge.Group).ImportStock, (*knowledge.Group).ExportStock},
		{"tests", (*knowledge.Group).ImportTests, (*knowledge.Group).ExportTests},
	}
}

// exportKinds lists what can be exported: the same kinds and the history, which cannot be imported.
func exportKinds() []csvKind {
	return append(csvKinds(), csvKind{name: "history", write: (*knowledge.Group).ExportHistory})
}

// csvKindNamed returns the kind of that name, or a usageError that lists the names.
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
