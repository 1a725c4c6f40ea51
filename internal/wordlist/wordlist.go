// Package wordlist reads words that are data. A line that begins a list names it; its words stand below, indented.
// Empty lines and those that begin with # are remarks.
package wordlist

import (
	"iter"
	"strings"
)

// Lines are the lines of all lists of a text, without blanks around them, each with the name of its list.
func Lines(text string) iter.Seq2[string, string] {
	return func(yield func(name, line string) bool) {
		name := ""
		for line := range strings.Lines(text) {
			switch plain := strings.TrimSpace(line); {
			case plain == "" || line[0] == '#':
			case line[0] != ' ':
				name = plain
			case !yield(name, plain):
				return
			}
		}
	}
}

// Lists are lists of words by their names.
type Lists map[string]string

// Read reads the lists of a text, their lines with a mark between.
func Read(text, between string) Lists {
	all := make(Lists)
	for name, line := range Lines(text) {
		if all[name] != "" {
			all[name] += between
		}
		all[name] += line
	}
	return all
}

// Of is the list of that name. It panics where there is none, for whoever builds the program.
func (l Lists) Of(name string) string {
	if l[name] == "" {
		panic("no list of words is called " + name)
	}
	return l[name]
}
