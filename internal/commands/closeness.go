package commands

import (
	"strings"
	"unicode/utf8"

	"holdbench/internal/spelling"
)

// How near what is being typed is to a name, nearest last.
const (
	farOff    = iota
	scattered // its letters, in order
	nearlyBegins
	holds
	beginsWord
	begins
)

// closeness is how near what was typed is to the nearest of some names, letter
// case and spaces ignored. Nothing typed is near to all.
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

// beginsAWord reports whether typed is the beginning of the name from one of its
// words on.
func beginsAWord(name, typed string) bool {
	words := strings.Fields(name)
	for i := range words {
		if strings.HasPrefix(squeeze(strings.Join(words[i:], "")), typed) {
			return true
		}
	}
	return false
}

// nearlyBeginsWith allows one slip of a letter in four and more, two in eight.
func nearlyBeginsWith(name, typed string) bool {
	most := min(utf8.RuneCountInString(typed)/4, 2)
	return most > 0 && slipsOfPrefix(name, typed, most) <= most
}

// slipsOfPrefix is the least number of slips that turns a beginning of a name into what was
// typed; above most it is most+1.
func slipsOfPrefix(name, typed string, most int) int {
	runes, about := []rune(name), utf8.RuneCountInString(typed)
	least := most + 1
	for end := max(0, about-most); end <= min(len(runes), about+most); end++ {
		least = min(least, spelling.Distance(string(runes[:end]), typed, least-1))
	}
	return least
}

// isScattered reports whether the letters typed stand in the name in that order.
func isScattered(name, typed string) bool {
	rest := []rune(typed)
	for _, r := range name {
		if len(rest) > 0 && r == rest[0] {
			rest = rest[1:]
		}
	}
	return len(rest) == 0
}
