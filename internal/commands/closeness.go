package commands

import (
	"strings"
	"unicode/utf8"

	"holdbench/internal/spelling"
)

// How close a name is to what is being typed, the closest last.
const (
	farOff    = iota
	scattered // has the letters typed, in that order
	nearlyBegins
	holds
	beginsWord
	begins
)

// closeness is how close what was typed comes to the closest of some names, letter case and spaces ignored. Every name
// begins with nothing.
func closeness(names []string, typed string) int {
	best, plain := farOff, squeeze(typed)
	for _, name := range names {
		best = max(best, closenessTo(name, plain))
	}
	return best
}

func closenessTo(name, typed string) int {
	plain := squeeze(name)
	switch {
	case strings.HasPrefix(plain, typed):
		return begins
	case strings.Contains(plain, typed) && beginsAWord(name, typed):
		return beginsWord
	case strings.Contains(plain, typed):
		return holds
	case nearlyBeginsWith(plain, typed):
		return nearlyBegins
	case len(typed) >= 3 && isScattered(plain, typed):
		return scattered
	}
	return farOff
}

// beginsAWord reports whether the name, from the start of one of its words on, begins with what was typed.
func beginsAWord(name, typed string) bool {
	words := strings.Fields(name)
	for i := range words {
		if strings.HasPrefix(squeeze(strings.Join(words[i:], "")), typed) {
			return true
		}
	}
	return false
}

// nearlyBeginsWith allows one wrong letter from four letters on, and two from eight on.
func nearlyBeginsWith(name, typed string) bool {
	most := min(utf8.RuneCountInString(typed)/4, 2)
	return most > 0 && slipsOfPrefix(name, typed, most) <= most
}

// slipsOfPrefix is the smallest number of wrong letters that turns a beginning of a name into what was typed, most+1 if
// it is above most.
func slipsOfPrefix(name, typed string, most int) int {
	runes, about := []rune(name), utf8.RuneCountInString(typed)
	least := most + 1
	for end := max(0, about-most); end <= min(len(runes), about+most); end++ {
		least = min(least, spelling.Distance(string(runes[:end]), typed, least-1))
	}
	return least
}

// isScattered reports whether the name has the letters typed, in that order.
func isScattered(name, typed string) bool {
	rest := []rune(typed)
	for _, r := range name {
		if len(rest) > 0 && r == rest[0] {
			rest = rest[1:]
		}
	}
	return len(rest) == 0
}
