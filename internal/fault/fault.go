// Package fault prepares errors for the log: it removes the words that members typed and adds the stack of a panic.
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

// The log must not hold anybody's words. The errors of the store and the commands quote none, but a panic or a
// library's error may quote what it was given.

// shortestRedacted is the length, in characters, from which a word is removed. Shorter ones are in every sentence and
// tell nothing.
const shortestRedacted = 4

// Redact replaces every word of a text that is also in what somebody typed.
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

// Pairs returns an error as key-value pairs for the log: redacted, with the stack if it was a panic.
func Pairs(err error, typed ...string) []any {
	pairs := []any{"error", Redact(err.Error(), typed...)}
	var p *panicked
	if errors.As(err, &p) {
		pairs = append(pairs, "stack", p.stack)
	}
	return pairs
}

// reworded is an error with another text.
type reworded struct {
	text  string
	cause error
}

// Reworded returns an error that reads text and wraps cause.
func Reworded(text string, cause error) error { return &reworded{text, cause} }

func (r *reworded) Error() string { return r.text }
func (r *reworded) Unwrap() error { return r.cause }

// panicked is a panic as an error.
type panicked struct {
	value any
	stack string // function names, no values
}

// Panicked makes an error of a recovered value. Call it in the function that recovers, so that the stack is that of the
// panic.
func Panicked(value any) error { return &panicked{value, string(debug.Stack())} }

// Error implements error.
func (p *panicked) Error() string { return fmt.Sprintf("panic: %v", p.value) }
