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
	a, b := []rune(name), []rune(typed)
	slips := min(len(b)/4, 2)
	if slips == 0 || len(a) < len(b)-slips {
		return false
	}
	return slipsOfPrefix(a[:min(len(a), len(b)+slips)], b) <= slips
}

// slipsOfPrefix is the least number of letters put in, left out, mistaken or
// swapped with their neighbour that turns a beginning of a into b (optimal string
// alignment; after Damerau, Comm. ACM 7 (1964) 171, from memory).
func slipsOfPrefix(a, b []rune) int {
	var room [3][64]int // names and what is typed of them are shorter as a rule
	rows := [3][]int{room[0][:], room[1][:], room[2][:]}
	if len(b) >= len(room[0]) {
		rows = [3][]int{make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)}
	}
	before, last, row := rows[0], rows[1], rows[2]
	for j := range len(b) + 1 {
		last[j] = j
	}
	least := len(b)
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
		least = min(least, row[len(b)])
		before, last, row = last, row, before
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
