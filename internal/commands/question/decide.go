package question

import (
	"slices"

	"holdbench/internal/trade"
)

// decide puts the parts together: one combination, or what is still open.
func (s *scan) decide() Reading {
	product := s.settleProduct(s.readProduct())
	if s.bad != "" {
		return s.unclear(s.bad, "")
	}
	s.settleMeasures()
	d := draft{scan: s, product: product, seconds: s.seconds, pulls: s.pulls}
	d.instrument = s.settleInstrument(s.readInstrument())
	d.syringes, d.syringeProblem = s.settleSyringe(s.readSyringe())
	if product.unread != "" && (d.instrument.stated || s.soundsAsked()) { // else a story, with no gel in it
		return s.unclear("No gel on the list is called “"+product.unread+"”.",
			"Check the spelling, or ask the trainer to add it.")
	}
	if !product.ok && len(product.options) == 0 {
		if !d.instrument.stated {
			return s.unclear("That does not name a gel and a needle or cannula.", "")
		}
		d.product.options = s.allProducts()
		d.product.problem = "No gel is named."
	}
	return d.reading()
}

// holdWords are the words of a question about a hold.
var holdWords = list("hold words")

// soundsAsked reports whether the text has one of them, or a number: something of a question about a hold.
func (s *scan) soundsAsked() bool {
	return slices.ContainsFunc(s.toks, func(t token) bool { return holdWords[t.text] || t.form == number })
}

// draft is a question as far as it has been understood.
type draft struct {
	scan           *scan
	product        productRead
	instrument     instrumentRead
	syringes       []trade.Syringe
	syringeProblem string
	seconds, pulls []float64
}

// reading returns the combination if there is exactly one, else the choices
// for the first thing that is open.
func (d draft) reading() Reading {
	s := d.scan
	r := Reading{Outcome: One, BySeconds: only(s.seconds), PullML: only(s.pulls)}
	r.WallSaid = len(s.walls) == 1 && s.walls[0] != unrecordedWall
	switch {
	case !d.product.ok:
		return d.choose(r, d.product.problem, d.productChoices())
	case !d.instrument.ok:
		return d.choose(r, d.instrument.problem, d.instrumentChoices())
	case len(d.syringes) != 1:
		return d.choose(r, d.syringeProblem, d.syringeChoices())
	case len(s.seconds) > 1:
		return d.choose(r, "More than one hold is named.", d.secondsChoices())
	case len(s.pulls) > 1:
		return d.choose(r, "More than one pull is named.", d.pullChoices())
	}
	r.Product = s.ix.products[d.product.product]
	r.Instrument = d.instrument.instrument
	r.Syringe = d.syringes[0]
	return r
}

// choose completes a reading that leaves something open.
func (d draft) choose(r Reading, problem string, choices []Choice) Reading {
	if len(choices) == 0 {
		return d.scan.unclear(problem, "")
	}
	r.Outcome, r.Problem = Choose, problem
	if len(choices) > MaxChoices {
		choices = choices[:MaxChoices]
		r.Hint = "These are the first " + short(MaxChoices) + "; if yours is not among them, type its name. " +
			d.scan.example(choices...)
	} else {
		r.Hint = "Pick one, or write it out. " + d.scan.example(choices...)
	}
	r.Choices = choices
	return r
}

// allProducts returns every product, diluted as the text says if any is.
func (s *scan) allProducts() []int32 {
	all := make([]int32, len(s.ix.products))
	for i := range all {
		all[i] = int32(i)
	}
	return s.narrow(all)
}
