// Package spelling says how far a typed word is from another: in plain slips, or in what
// the slips of a hand on a keyboard cost.
package spelling

// Longest is the longest word, in letters, that Cost weighs.
const Longest = 40

// Distance is the number of slips between two words: a letter left out, put in,
// replaced, or changed with its neighbour. It stops counting above most, and
// returns most+1 then. Letters are compared as they stand.
func Distance(a, b string, most int) int {
	plain := func(edit) int { return 1 }
	return min(restricted([]rune(a), []rune(b), most, weights{1, plain, plain}), most+1)
}

// edit is one place where two words differ: a letter of the typed one put in, or put in
// the place of one that was meant.
type edit struct {
	letter        rune // typed
	meant         rune // in whose place it stands; of one put in, the letter that goes before it
	before, after rune // beside it, as typed; 0 for none
	length        int  // of the word that was meant
}

// weights are what edits cost. A letter left out and two letters changed round cost a slip.
type weights struct {
	slip          int
	replaced, put func(edit) int
}

// restricted is the restricted edit distance of Damerau and Levenshtein from typed to
// meant; above most it may be any number above most.
func restricted(typed, meant []rune, most int, w weights) int {
	if diff := len(typed) - len(meant); diff*w.slip > most || -diff*w.slip > most {
		return most + 1
	}
	var kept [3 * (Longest + 1)]int
	rows, width := kept[:], len(meant)+1
	if 3*width > len(rows) {
		rows = make([]int, 3*width)
	}
	row := func(i int) []int { return rows[i%3*width : (i%3+1)*width] }
	for j := range row(0) {
		row(0)[j] = j * w.slip
	}
	for i := 1; i <= len(typed); i++ {
		this, above := row(i), row(i+2)
		e := edit{letter: typed[i-1], length: len(meant)}
		if i > 1 {
			e.before = typed[i-2]
		}
		if i < len(typed) {
			e.after = typed[i]
		}
		this[0] = above[0] + w.put(e)
		least := this[0]
		for j := 1; j < width; j++ {
			e.meant = meant[j-1]
			best := min(this[j-1]+w.slip, above[j]+w.put(e))
			if e.letter == e.meant {
				best = min(best, above[j-1])
			} else {
				best = min(best, above[j-1]+w.replaced(e))
			}
			if i > 1 && j > 1 && e.letter == meant[j-2] && e.before == e.meant {
				best = min(best, row(i + 1)[j-2]+w.slip)
			}
			this[j] = best
			least = min(least, best)
		}
		if least > most {
			return most + 1
		}
	}
	return row(len(typed))[width-1]
}
