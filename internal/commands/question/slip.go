package question

import "strings"

// What it costs to take one word for another. A typing slip is a letter
// missing, doubled, swapped with its neighbour, hit beside its key, or put
// down by ear; any other letter in another's place is odd.
const (
	exact    = 0
	plural   = 1 // "lips" for "lip"
	slipOnce = 2
	oddCost  = 3
	twoSlips = 4
	tooFar   = 9
)

// longestSlipped is the longest word, in bytes, in which slips are looked for.
const longestSlipped = 40

// slipCost returns what it costs to take typed for want, or tooFar. It is the
// restricted edit distance of Damerau and Levenshtein with the costs above.
func slipCost(typed, want string) int {
	if typed == want {
		return exact
	}
	if typed == want+"s" || typed == want+"es" {
		return plural
	}
	if diff := len(typed) - len(want); diff > 2 || diff < -2 || len(typed) > longestSlipped || len(want) > longestSlipped {
		return tooFar
	}
	var rows [3][longestSlipped + 1]int // the last three rows of the table
	for j := 0; j <= len(want); j++ {
		rows[0][j] = j * slipOnce
	}
	for i := 1; i <= len(typed); i++ {
		row, above, twoAbove := &rows[i%3], &rows[(i+2)%3], &rows[(i+1)%3]
		row[0] = above[0] + extraCost(typed, want, i-1, 0)
		lowest := row[0]
		for j := 1; j <= len(want); j++ {
			best := above[j-1] + swapCost(typed[i-1], want[j-1], len(want))
			best = min(best, row[j-1]+slipOnce, above[j]+extraCost(typed, want, i-1, j))
			if i > 1 && j > 1 && typed[i-1] == want[j-2] && typed[i-2] == want[j-1] {
				best = min(best, twoAbove[j-2]+slipOnce)
			}
			row[j] = best
			lowest = min(lowest, best)
		}
		if lowest > twoSlips+slipOnce {
			return tooFar
		}
	}
	return min(rows[len(typed)%3][len(want)], tooFar)
}

// swapCost returns the cost of letter a where b was meant.
func swapCost(a, b byte, wordLength int) int {
	switch {
	case a == b:
		return exact
	case isNeighbour(a, b), wordLength >= 5 && soundsAlike(a, b):
		return slipOnce
	}
	return oddCost
}

// extraCost returns the cost of the surplus letter typed[i] at place j of want.
func extraCost(typed, want string, i, j int) int {
	c := typed[i]
	vowel := strings.IndexByte(vowels, c) >= 0
	for _, k := range []int{i - 1, i + 1} {
		if k >= 0 && k < len(typed) && (typed[k] == c || isNeighbour(typed[k], c) || vowel && len(want) >= 6 && strings.IndexByte(vowels, typed[k]) >= 0) {
			return slipOnce
		}
	}
	if j > 0 && want[j-1] == c {
		return slipOnce
	}
	return oddCost
}

// keyRows are the letter rows of an English keyboard. keyStarts says where each
// begins, in quarters of a key, on a desk and on a phone.
var (
	keyRows   = []string{"qwertyuiop", "asdfghjkl", "zxcvbnm"}
	keyStarts = [][]int{{0, 1, 3}, {0, 2, 6}}
)

// neighbours says which letters lie side by side on either keyboard.
var neighbours = neighbourKeys()

func neighbourKeys() (near [26][26]bool) {
	for _, starts := range keyStarts {
		for rowA, keysA := range keyRows {
			for rowB, keysB := range keyRows {
				for i := range keysA {
					for j := range keysB {
						across := starts[rowA] + 4*i - starts[rowB] - 4*j
						sameRow := rowA == rowB && (across == 4 || across == -4)
						nextRow := (rowA-rowB == 1 || rowB-rowA == 1) && across >= -3 && across <= 3
						if sameRow || nextRow {
							near[keysA[i]-'a'][keysB[j]-'a'] = true
						}
					}
				}
			}
		}
	}
	return near
}

// isNeighbour reports whether a and b are different letters side by side.
func isNeighbour(a, b byte) bool {
	return a >= 'a' && a <= 'z' && b >= 'a' && b <= 'z' && neighbours[a-'a'][b-'a']
}

// soundPairs are consonants taken for one another by ear.
var soundPairs = set("ck kc cs sc sz zs mn nm fv vf kq qk dt td")

const vowels = "aeiouy"

// soundsAlike reports whether a and b are taken for one another by ear.
func soundsAlike(a, b byte) bool {
	if strings.IndexByte(vowels, a) >= 0 && strings.IndexByte(vowels, b) >= 0 {
		return true
	}
	return soundPairs[string([]byte{a, b})]
}

// slipLimit returns the highest cost at which typed may stand for want. Short
// words are too near to others: a word of three letters must keep them all,
// one of two must be exact. An odd letter or a second slip needs six letters
// and the right first one: Merrick is not Orrick.
func slipLimit(typed, want string) int {
	switch {
	case len(want) <= 2:
		return exact
	case len(want) == 3 && len(typed) < 3:
		return exact
	case len(want) <= 4:
		return slipOnce
	case typed == "" || typed[0] != want[0]:
		return slipOnce
	case len(want) == 5:
		return oddCost
	}
	return twoSlips
}
