package knowledge

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"holdbench/internal/spelling"
	"holdbench/internal/trade"
)

// SimilarProducts returns the products with a name or alias that is nearly the given one,
// the nearest first. Letter case and spacing do not count. Nearly means a slip or two of the
// finger, the same words in another order, or letters that are drawn alike. A different digit
// counts as one slip more: "3" and "4" are often two products.
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
	return NewSpellings(v.Products).Similar(name), nil
}

// Spellings are the names of products, ready to be compared.
type Spellings struct {
	products []trade.Product
	names    [][]spelled
}

// NewSpellings prepares the names of a list of products.
func NewSpellings(products []trade.Product) *Spellings {
	s := &Spellings{products: products, names: make([][]spelled, len(products))}
	for i, p := range products {
		for _, name := range append([]string{p.Name}, p.Aliases...) {
			s.names[i] = append(s.names[i], newSpelling(name))
		}
	}
	return s
}

// Similar is SimilarProducts for this list.
func (s *Spellings) Similar(name string) (similar []trade.Product) {
	type near struct {
		product trade.Product
		apart   int
	}
	var found []near
	asked := newSpelling(name)
	for i, p := range s.products {
		best := mostSlips + 1
		for _, known := range s.names[i] {
			best = min(best, asked.apart(known))
		}
		if best <= asked.slips() {
			found = append(found, near{p, best})
		}
	}
	slices.SortStableFunc(found, func(a, b near) int { return cmp.Compare(a.apart, b.apart) })
	for _, n := range found {
		similar = append(similar, n.product)
	}
	return similar
}

// NearNames reports whether two names of products are nearly the same, as for
// SimilarProducts.
func NearNames(one, other string) bool {
	a := newSpelling(one)
	return a.apart(newSpelling(other)) <= a.slips()
}

// AlikeProducts returns the pairs of products in use that may be one product: their names
// differ by one slip of the finger, by the order of the words or by letters that are drawn
// alike. The earlier product comes first. Left out are names that differ in a digit, short
// names, which are all a slip apart, and pairs that a trainer has told apart.
func (g *Group) AlikeProducts(ctx context.Context) (pairs [][2]trade.Product, err error) {
	defer wrap(&err, "alike products")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	apart, err := g.toldApart(ctx, g.store.look())
	if err != nil {
		return nil, err
	}
	products := slices.DeleteFunc(slices.Clone(v.Products), func(p trade.Product) bool { return p.RetiredOn != "" })
	names := make([]spelled, len(products))
	for i, p := range products {
		names[i] = newSpelling(p.Name)
	}
	for i, name := range names {
		for j, earlier := range names[:i] {
			if utf8.RuneCountInString(name.letters) >= shortestAlike && name.apart(earlier) <= 1 &&
				!apart[[2]int64{products[j].ID, products[i].ID}] {
				pairs = append(pairs, [2]trade.Product{products[j], products[i]})
			}
		}
	}
	return pairs, nil
}

// shortestAlike is how many letters a name must have to be taken for another with a slip in
// it (project's choice, no source).
const shortestAlike = 5

// mostSlips is how many slips a long name may have and still count as the same.
const mostSlips = 3

// spelled is a name in the forms that are compared.
type spelled struct {
	letters, sorted, looks string
	digits                 []rune
}

func newSpelling(name string) spelled {
	words := strings.Fields(strings.ToLower(name))
	slices.Sort(words)
	s := spelled{letters: trade.Fold(name), sorted: trade.Fold(strings.Join(words, "")),
		looks: skeleton(name)}
	for _, r := range s.letters {
		if unicode.IsDigit(r) {
			s.digits = append(s.digits, r)
		}
	}
	return s
}

// slips is how many slips a name of this length may have and still count as the same.
func (s spelled) slips() int {
	switch n := utf8.RuneCountInString(s.letters); {
	case n < 5:
		return 1
	case n < 12:
		return 2
	}
	return mostSlips
}

// apart is the number of slips between two names, at most mostSlips+1. Names that are drawn
// alike are one slip apart.
func (s spelled) apart(other spelled) int {
	if s.looks == other.looks && s.letters != other.letters {
		return 1
	}
	distance := min(spelling.Distance(s.letters, other.letters, mostSlips),
		spelling.Distance(s.sorted, other.sorted, mostSlips))
	if !slices.Equal(s.digits, other.digits) {
		distance++
	}
	return min(distance, mostSlips+1)
}
