package main

import (
	"slices"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// exportKinds lists what can be exported: what can be imported and the history, which cannot.
func exportKinds() []knowledge.FileKind {
	return append(knowledge.ImportKinds(), knowledge.HistoryFile)
}

// kindNamed returns the kind of that name, or a usageError that lists the names.
func kindNamed(kinds []knowledge.FileKind, name string) (knowledge.FileKind, error) {
	kind := knowledge.FileKind(name)
	if !slices.Contains(kinds, kind) {
		return "", misused("%q is none of %s", name, trade.Listed(kinds))
	}
	return kind, nil
}
