package commands

import "strings"

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
	best := farOff
	for _, name := range names {
		best = max(best, closenessTo(name, squeeze(typed)))
	}
	return best
}

func closenessTo(name, typed string) int {
	plain := squeeze(name)
	switch {
	case strings.HasPrefix(plain, typed):
		return begins
	case beginsAWord(name, typed):
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
	a, b := []rune(name), []rune(typed)
	slips := min(len(b)/4, 2)
	if slips == 0 {
		return false
	}
	for cut := max(0, len(b)-slips); cut <= min(len(a), len(b)+slips); cut++ {
		if slipsBetween(a[:cut], b) <= slips {
			return true
		}
	}
	return false
}

// slipsBetween is the least number of letters put in, left out, mistaken or
// swapped with their neighbour that turns one word into the other (optimal
// string alignment; after Damerau, Comm. ACM 7 (1964) 171, from memory).
func slipsBetween(a, b []rune) int {
	before, last, row := []int(nil), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, make([]int, len(b)+1)
	}
	return last[len(b)]
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
