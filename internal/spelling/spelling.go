// Package spelling says how many slips of the finger lie between two words.
package spelling

// Distance is the number of slips between two words: a letter left out, put in,
// replaced, or changed with its neighbour. It stops counting above most, and
// returns most+1 then. Letters are compared as they stand.
func Distance(a, b string, most int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > most || len(y)-len(x) > most {
		return most + 1
	}
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			same := 1
			if x[i-1] == y[j-1] {
				same = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+same)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > most {
			return most + 1
		}
		before, last, row = last, row, before
	}
	return min(last[len(y)], most+1)
}
