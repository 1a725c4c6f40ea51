package knowledge

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"unicode"

	"holdbench/internal/trade"
)

// SimilarProducts returns the products whose name or one of whose aliases is
// nearly the given one, the nearest first: letter case and spacing ignored, a
// slip or two of the finger, or the same words in another order. Names that
// differ in a digit count as further apart: "3" and "4" are often two products.
//
// Errors: *FieldError for what is no name.
func (g *Group) SimilarProducts(ctx context.Context, name string) (similar []trade.Product, err error) {
	defer wrap(&err, "similar products")
	if err := trade.CheckText("product name", name, trade.LongestName); err != nil {
		return nil, err
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	type near struct {
		product trade.Product
		apart   int
	}
	var found []near
	asked := newSpelling(name)
	for _, p := range v.Products {
		best := mostSlips + 1
		for _, known := range append([]string{p.Name}, p.Aliases...) {
			best = min(best, asked.apart(newSpelling(known)))
		}
		if best <= asked.slips() {
			found = append(found, near{p, best})
		}
	}
	slices.SortStableFunc(found, func(a, b near) int { return cmp.Compare(a.apart, b.apart) })
	for _, n := range found {
		similar = append(similar, n.product)
	}
	return similar, nil
}

// mostSlips is how many slips of the finger make a long name another one.
const mostSlips = 3

// spelling is a name as it is compared.
type spelling struct{ letters, sorted, digits []rune }

func newSpelling(name string) spelling {
	words := strings.Fields(strings.ToLower(name))
	slices.Sort(words)
	s := spelling{letters: []rune(trade.Fold(name)), sorted: []rune(trade.Fold(strings.Join(words, "")))}
	for _, r := range s.letters {
		if unicode.IsDigit(r) {
			s.digits = append(s.digits, r)
		}
	}
	return s
}

// slips is how many slips still leave a name of this length the same.
func (s spelling) slips() int {
	switch n := len(s.letters); {
	case n < 5:
		return 1
	case n < 12:
		return 2
	}
	return mostSlips
}

// apart is the number of slips between two names, mostSlips+1 for more.
func (s spelling) apart(other spelling) int {
	distance := min(slipsBetween(s.letters, other.letters), slipsBetween(s.sorted, other.sorted))
	if !slices.Equal(s.digits, other.digits) {
		distance++
	}
	return min(distance, mostSlips+1)
}

// slipsBetween counts the letters left out, put in, mistaken or swapped with
// their neighbour between two words: the optimal string alignment distance.
// Words whose lengths alone put them further apart are not looked at.
func slipsBetween(a, b []rune) int {
	if len(a)-len(b) > mostSlips || len(b)-len(a) > mostSlips {
		return mostSlips + 1
	}
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			mistaken := 1
			if a[i-1] == b[j-1] {
				mistaken = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+mistaken)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
