package question

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// Drawn names have commas, strokes, brackets and numbers in them. Asked in part, they are
// offered, and every one that is offered can be picked.
func TestChoicesAmongNamesWithPunctuationLeadToOneCombination(t *testing.T) {
	offered := 0
	for seed := uint64(11); seed <= 16; seed++ {
		r := rand.New(rand.NewPCG(seed, 3))
		products := drawnNames(r, 25)
		ix := NewIndex(products, demoInstruments, demoSyringes)
		for _, p := range products {
			head := strings.FieldsFunc(p.Name, func(r rune) bool { return !isASCIILetter(byte(r)) && r < 0x80 })[0]
			for _, text := range []string{p.Name, head + " 27g", p.Name + ", 27G", "27G or 30G 13 mm, " + p.Name,
				head + " or " + p.Name, "27g 13mm"} {
				if got := ix.ReadQuestion(text, Stated{}); got.Outcome == Choose {
					offered++
					followed(t, ix, text, got, mostSteps)
				}
			}
		}
	}
	if offered < 300 {
		t.Errorf("only %d texts were offered choices", offered)
	}
}
