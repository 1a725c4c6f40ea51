package main

import (
	"slices"
	"strings"

	"holdbench/internal/knowledge"
)

// exportKinds lists what can be exported: what can be imported and the history, which cannot.
func exportKinds() []knowledge.FileKind {
	return append(knowledge.ImportKinds(), knowledge.HistoryFile)
}

// kindNamed returns the kind of that name, or a usageError that lists the names.
func kindNamed(kinds []knowledge.FileKind, name string) (knowledge.FileKind, error) {
	kind := knowledge.FileKind(name)
	if !slices.Contains(kinds, kind) {
		return "", misused("%q is none of %s", name, kindNames(kinds))
	}
	return kind, nil
}

func kindNames(kinds []knowledge.FileKind) string {
	var names []string
	for _, kind := range kinds {
		names = append(names, string(kind))
	}
	return strings.Join(names, ", ")
}
