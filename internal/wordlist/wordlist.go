// Package wordlist reads files of word lists. A line that is not indented names a list; the indented lines below it
// have its words. Empty lines, and lines that begin with #, are remarks.
package wordlist

import (
	"iter"
	"strings"
)

// Lines are the lines of all lists of a file, without the blanks around them, each with the name of its list.
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

// Read reads the lists of a file. The mark between joins the lines of a list.
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

// Of is the list of that name. It panics if there is none: the program was built with a misspelt name.
func (l Lists) Of(name string) string {
	if l[name] == "" {
		panic("no list of words is called " + name)
	}
	return l[name]
}
