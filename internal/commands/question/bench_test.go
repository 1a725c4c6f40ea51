package question

import (
	"fmt"
	"testing"

	"holdbench/internal/trade"
)

// bigIndex has 2 000 products of 250 makers, with aliases, and the
// demonstration's instruments.
func bigIndex() *Index {
	syllables := []string{"bra", "ven", "dor", "mik", "sel", "tar", "quo", "lin", "pes", "hul", "gar", "wex",
		"zon", "fri", "kel", "ost"}
	tails := []string{"Mid", "Firm", "Soft", "Fine", "Deep", "Lip", "Contour", "Hydra"}
	var products []trade.Product
	for i := range 2000 {
		maker := i / len(tails)
		name := syllables[maker%16] + syllables[maker/16%16] + syllables[(maker*7+3)%16]
		products = append(products, trade.Product{ID: int64(i + 1), Name: name + " " + tails[i%len(tails)],
			Aliases: []string{name[:2] + " " + tails[i%len(tails)], fmt.Sprintf("%s %d", name, i%len(tails))}})
	}
	return NewIndex(append(products, demoProducts...), demoInstruments, demoSyringes)
}

var benchTexts = []string{
	"orrick mid 27g 13mm",
	"orick mid on 30g13mm??",
	"Hello! Could someone tell me how long to aspirate for with Orrick Mid on a 27G 13mm needle please? Thank you x",
	"is 10 s enuogh for pelow contuor on a 27g half inch, pulling 0.2 ml, my 2.30 is here",
	"hold time for Quimbleton Max on 30G 13mm",
	"30g 13mm?",
}

func BenchmarkReadAtTwoThousandProducts(b *testing.B) {
	ix := bigIndex()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		ix.Read(benchTexts[i%len(benchTexts)])
	}
}

func BenchmarkNewIndexOfTwoThousandProducts(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		bigIndex()
	}
}
