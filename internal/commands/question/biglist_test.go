package question

import (
	"math/rand/v2"
	"strings"
	"testing"

	"holdbench/internal/spelling"
)

// TestASlipAmongTwoThousandProductsNeverMakesAnother makes one typing slip, of
// the kinds that people make, in a name out of a list in which many names are
// alike. Where the slip turns one name into another letter for letter, no
// reader could tell; those are left out, and counted.
func TestASlipAmongTwoThousandProductsNeverMakesAnother(t *testing.T) {
	ix := bigIndex()
	rng := rand.New(rand.NewPCG(3, 4))
	answered, open, same := 0, 0, 0
	for range draws(20000) {
		p := ix.products[rng.IntN(len(ix.products))]
		typed := typingSlip(rng, strings.ToLower(p.Name))
		if namesOther(ix, typed, p.ID) {
			same++
			continue
		}
		r := ix.Read("hold for " + typed + " on a 27g 13mm?")
		switch {
		case r.Outcome != One:
			open++
		case r.Product.ID != p.ID || r.Instrument.ID != 1:
			t.Errorf("%q answered as %s, meant %s", typed, told(r), p.Name)
		default:
			answered++
		}
	}
	t.Logf("%d answered, %d left open, %d were other names", answered, open, same)
	if all := draws(20000); answered < all/2 {
		t.Errorf("only %d of %d answered", answered, all)
	}
}

// typingSlip leaves a letter out, doubles it, swaps it with the next, or hits a
// key beside it.
func typingSlip(rng *rand.Rand, name string) string {
	i := rng.IntN(len(name) - 1)
	switch rng.IntN(4) {
	case 0:
		return name[:i] + name[i+1:]
	case 1:
		return name[:i+1] + name[i:]
	case 2:
		return name[:i] + name[i+1:i+2] + name[i:i+1] + name[i+2:]
	}
	for c := byte('a'); c <= 'z'; c++ {
		if spelling.Cost(string(rune(c)), name[i:i+1]) == spelling.SlipOnce && rng.IntN(2) == 0 {
			return name[:i] + string(rune(c)) + name[i+1:]
		}
	}
	return name
}

func TestExactNamesAreAlwaysReadAmongTwoThousandProducts(t *testing.T) {
	ix := bigIndex()
	for _, p := range ix.products {
		if r := ix.Read(p.Name + " 27G 13 mm needle"); r.Outcome != One || r.Product.ID != p.ID {
			t.Errorf("%s: %s (%s)", p.Name, r.Outcome, told(r))
		}
	}
}

func TestALongListOffersAFullPageOfChoices(t *testing.T) {
	r := bigIndex().Read("27g 13mm")
	if r.Outcome != Choose || len(r.Choices) != MaxChoices || !strings.Contains(r.Hint, "first 25") {
		t.Errorf("%s, %d choices, hint %q", r.Outcome, len(r.Choices), r.Hint)
	}
}
