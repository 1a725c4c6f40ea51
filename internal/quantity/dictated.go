package quantity

import (
	_ "embed"
	"strconv"
	"strings"

	"holdbench/internal/wordlist"
)

//go:embed numbers.txt
var numbersText string

// The numbers and the parts of one that have a word, by their words.
var numberWords, partWords = readNumbers()

func readNumbers() (numbers, parts map[string]float64) {
	numbers, parts = make(map[string]float64), make(map[string]float64)
	for list, line := range wordlist.Lines(numbersText) {
		words := strings.Fields(line)
		v, err := strconv.ParseFloat(words[0], 64)
		if err != nil {
			panic("numbers.txt: " + line)
		}
		for _, w := range words[1:] {
			if list == "parts" {
				parts[w] = 1 / v
			} else {
				numbers[w] = v
			}
		}
	}
	return numbers, parts
}

// Dictated is the number up to 99 that some words begin with, and how many of them it takes: two of "twenty seven
// gauge", none of "gauge". The words are in lower case and without accents.
func Dictated(words ...string) (v float64, n int) {
	if len(words) == 0 {
		return 0, 0
	}
	v, ok := numberWords[words[0]]
	switch {
	case !ok:
		return 0, 0
	case v >= 20 && len(words) > 1:
		if ones := numberWords[words[1]]; ones >= 1 && ones < 10 {
			return v + ones, 2
		}
	}
	return v, 1
}

// Spelled is the value of a text that is a number in words up to 99, "twenty-seven" or "a"; ok is false for any other.
func Spelled(text string) (v float64, ok bool) {
	if text == "a" || text == "an" {
		return 1, true
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '-' })
	v, n := Dictated(words...)
	return v, n > 0 && n == len(words)
}

// Part is the value of a part in one word: half, quarters, tenth.
func Part(w string) (v float64, ok bool) {
	v, ok = partWords[w]
	return v, ok
}
