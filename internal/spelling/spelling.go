// Package spelling compares words as they are typed: without accents, and by the slips from one to another, which are
// counted or weighed by how likely they are.
package spelling

// Longest is the longest word, in letters, that Cost weighs.
const Longest = 40

// Distance is the number of slips between two words: a letter left out, added, replaced, or swapped with its
// neighbour. It is most+1 for any number above most. Case and accents count.
func Distance(a, b string, most int) int {
	plain := func(edit) int { return 1 }
	return min(restricted([]rune(a), []rune(b), most, weights{1, plain, plain}), most+1)
}

// edit is one place where two words differ: a letter that was added, or typed in the place of another.
type edit struct {
	letter        rune // as typed
	meant         rune // the letter that it replaces; for an added one, the letter before it
	before, after rune // its neighbours, as typed; 0 for none
	length        int  // letters of the word that was meant
}

// weights are what edits cost. A letter left out and two letters swapped cost a slip.
type weights struct {
	slip          int
	replaced, put func(edit) int
}

// restricted is the restricted Damerau–Levenshtein distance from typed to meant; above most it may be any number
// above most.
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
