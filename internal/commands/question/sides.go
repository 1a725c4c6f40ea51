package question

import (
	"slices"

	"holdbench/internal/trade"
)

// comparingWords are those by which people ask to compare.
var comparingWords = list("comparing words")

// Sides are what a text sets side by side.
type Sides struct {
	Products    []trade.Product    // the gels that are named, or that a name could mean; none where none is named
	Instruments []trade.Instrument // the same of needles and cannulas
	Problem     string             // what keeps the text from being read
	Rest        []string           // what was typed and nothing was made of
}

// ReadSides reads what is to be compared: "orrick mid on 27G 13 mm and 30G 13 mm". Where Read
// asks which one is meant, all of them are given. As Read it never fails.
func (ix *Index) ReadSides(text string) Sides {
	toks := tokenize(fold(stripMarkup(text)))
	if len(text) > MaxBytes || len(toks) > maxTokens {
		return Sides{Problem: ix.tooLong().Problem}
	}
	s := newScan(ix, toks)
	s.readMeasures()
	product, instrument := s.readProduct(), s.readInstrument()
	sides := Sides{Problem: s.bad, Rest: slices.DeleteFunc(s.rest(), func(w string) bool { return comparingWords[w] })}
	if product.unread != "" {
		sides.Problem = "No gel on the list is called “" + product.unread + "”."
	}
	if product.ok {
		product.options = []int32{product.product}
	}
	for _, p := range product.options {
		sides.Products = append(sides.Products, ix.products[p])
	}
	if instrument.ok {
		instrument.options = []trade.Instrument{instrument.instrument}
	}
	if instrument.stated {
		sides.Instruments = instrument.options
	}
	return sides
}
