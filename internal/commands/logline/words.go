package logline

import (
	_ "embed"
	"strings"

	"holdbench/internal/wordlist"
)

//go:embed words.txt
var wordText string

// lists are alternatives of a pattern.
var lists = wordlist.Read(wordText, "|")

// words are the single alternatives of a list.
func words(list string) []string { return strings.Split(lists.Of(list), "|") }
