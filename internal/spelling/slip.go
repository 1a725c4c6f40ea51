package spelling

import "strings"

// What it costs to read one word as another. A slip is a letter left out, doubled, swapped with its neighbour,
// replaced by the key beside it, or spelt by ear. Any other letter in the place of one is odd.
const (
	Exact    = 0
	Plural   = 1 // "lips" for "lip"
	SlipOnce = 2
	Odd      = 3
	TwoSlips = 4
	TooFar   = 9
)

// Cost returns what it costs to read typed as meant, or TooFar. Both are in lower case.
func Cost(typed, meant string) int {
	if typed == meant {
		return Exact
	}
	if typed == meant+"s" || typed == meant+"es" {
		return Plural
	}
	if diff := len(typed) - len(meant); diff > 2 || diff < -2 || len(typed) > Longest || len(meant) > Longest {
		return TooFar
	}
	most := TwoSlips + SlipOnce
	if d := restricted([]rune(typed), []rune(meant), most, weights{SlipOnce, replacedCost, putCost}); d <= most {
		return d
	}
	return TooFar
}

// Limit returns the highest cost at which typed may be read as meant. Short words are too near to others: a word of
// two letters must be exact, one of three must not lose any. An odd letter or a second slip needs a longer word with
// the right first letter: Merrick is not Orrick.
func Limit(typed, meant string) int {
	switch {
	case len(meant) <= 2, len(meant) == 3 && len(typed) < 3:
		return Exact
	case len(meant) <= 4, typed == "", typed[0] != meant[0]:
		return SlipOnce
	case len(meant) == 5:
		return Odd
	}
	return TwoSlips
}

// replacedCost is the cost of a letter in the place of another.
func replacedCost(e edit) int {
	if neighbours[keys{e.letter, e.meant}] || e.length >= 5 && soundsAlike(e.letter, e.meant) {
		return SlipOnce
	}
	return Odd
}

// putCost is the cost of a surplus letter: less if it doubles its neighbour or lies beside it on a keyboard.
func putCost(e edit) int {
	for _, beside := range []rune{e.before, e.after} {
		twoVowels := e.length >= 6 && isVowel(e.letter) && isVowel(beside)
		if beside != 0 && (beside == e.letter || neighbours[keys{beside, e.letter}] || twoVowels) {
			return SlipOnce
		}
	}
	if e.meant == e.letter {
		return SlipOnce
	}
	return Odd
}

// keys are two letters side by side.
type keys struct{ a, b rune }

// keyRows are the letter rows of an English keyboard. keyStarts has where each begins, in quarters of a key, on a
// desk and on a phone.
var (
	keyRows   = []string{"qwertyuiop", "asdfghjkl", "zxcvbnm"}
	keyStarts = [][]int{{0, 1, 3}, {0, 2, 6}}
)

// neighbours says which letters lie side by side on either keyboard.
var neighbours = neighbourKeys()

func neighbourKeys() map[keys]bool {
	near := make(map[keys]bool)
	for _, starts := range keyStarts {
		for rowA, keysA := range keyRows {
			for rowB, keysB := range keyRows {
				for i, a := range keysA {
					for j, b := range keysB {
						across := starts[rowA] + 4*i - starts[rowB] - 4*j
						sameRow := rowA == rowB && (across == 4 || across == -4)
						nextRow := (rowA-rowB == 1 || rowB-rowA == 1) && across >= -3 && across <= 3
						if sameRow || nextRow {
							near[keys{a, b}] = true
						}
					}
				}
			}
		}
	}
	return near
}

// soundPairs are consonants that sound alike.
const soundPairs = " ck kc cs sc sz zs mn nm fv vf kq qk dt td "

func isVowel(r rune) bool { return strings.ContainsRune("aeiouy", r) }

// soundsAlike reports whether a and b sound alike.
func soundsAlike(a, b rune) bool {
	return isVowel(a) && isVowel(b) || strings.Contains(soundPairs, " "+string(a)+string(b)+" ")
}
