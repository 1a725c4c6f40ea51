package question

import (
	"slices"

	"holdbench/internal/trade"
)

// comparingWords are those by which people ask to compare.
var comparingWords = list("comparing words")

// Sides are what a text sets side by side.
type Sides struct {
	Products    []trade.Product    // every gel that the text names or may name
	Instruments []trade.Instrument // every needle and cannula, likewise
	Problem     string             // why the text was not read, "" if it was
	Rest        []string           // words and numbers that were not understood, as typed
}

// ReadSides reads what is to be compared: "orrick mid on 27G 13 mm and 30G 13 mm". It has all of what Read would ask to
// choose from.
func (ix *Index) ReadSides(text string) Sides {
	s := ix.measured(text)
	if s == nil {
		return Sides{Problem: ix.tooLong().Problem}
	}
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
