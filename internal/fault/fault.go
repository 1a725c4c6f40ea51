// Package fault makes of an error what goes into the log: without the words that somebody
// typed, and with where it happened if it was a panic.
package fault

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"unicode/utf8"
)

// The log is to hold no words of anybody's. What the store and the commands say of a fault
// has none; but a panic, or a library's error, may quote what it was given.

// shortestRedacted is how many characters a word has at the least to be taken out:
// shorter ones stand in every sentence and say nothing.
const shortestRedacted = 4

// Redact takes out of a text every word that is in what somebody typed.
func Redact(text string, typed ...string) string {
	var words []string
	for _, t := range typed {
		between := func(r rune) bool { return strings.ContainsRune(" \t\r\n\"'`,;:()[]{}<>|/", r) }
		for _, word := range strings.FieldsFunc(t, between) {
			if utf8.RuneCountInString(word) >= shortestRedacted {
				words = append(words, word)
			}
		}
	}
	slices.SortFunc(words, func(a, b string) int { return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b)) })
	for _, word := range slices.Compact(words) {
		text = regexp.MustCompile(`(?i)`+regexp.QuoteMeta(word)).ReplaceAllString(text, "…")
	}
	return text
}

// Pairs are an error as it goes into the log: without what was typed, and with where it
// happened if it was a panic.
func Pairs(err error, typed ...string) []any {
	pairs := []any{"error", Redact(err.Error(), typed...)}
	var p *panicked
	if errors.As(err, &p) {
		pairs = append(pairs, "stack", p.stack)
	}
	return pairs
}

// panicked is a panic as an error.
type panicked struct {
	value any
	stack string // has the names of functions and no values
}

// Panicked makes an error of what was recovered, with where it happened. It must be
// called where the panic is recovered.
func Panicked(value any) error { return &panicked{value, string(debug.Stack())} }

// Error is what the panic said.
func (p *panicked) Error() string { return fmt.Sprintf("panic: %v", p.value) }
