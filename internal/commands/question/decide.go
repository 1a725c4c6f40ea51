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
	p := pieces{scan: s, product: product, seconds: s.seconds, pulls: s.pulls}
	p.instrument = s.settleInstrument(s.readInstrument())
	p.syringes, p.syringeProblem = s.settleSyringe(s.readSyringe())
	if product.unread != "" && (p.instrument.stated || s.soundsAsked()) { // else a story, with no gel in it
		return s.unclear("No gel on the list is called “"+product.unread+"”.",
			"Check the spelling, or ask the trainer to add it.")
	}
	if !product.ok && len(product.options) == 0 {
		if !p.instrument.stated {
			return s.unclear("That does not name a gel and a needle or cannula.", "")
		}
		p.product.options = s.allProducts()
		p.product.problem = "No gel is named."
	}
	return p.reading()
}

// holdWords are the words of a question about a hold.
var holdWords = list("hold words")

// soundsAsked reports whether the text has one of them or a number, as a question about a hold has.
func (s *scan) soundsAsked() bool {
	return slices.ContainsFunc(s.toks, func(t token) bool { return holdWords[t.text] || t.is == number })
}

// pieces are the parts of a combination, the hold and the pull, as far as they have been read.
type pieces struct {
	scan           *scan
	product        productRead
	instrument     instrumentRead
	syringes       []trade.Syringe
	syringeProblem string
	seconds, pulls []float64
}

// reading is the combination if there is exactly one, or else the choices for the first piece that is open.
func (p pieces) reading() Reading {
	s := p.scan
	r := Reading{Outcome: One, BySeconds: only(s.seconds), PullML: only(s.pulls)}
	r.WallSaid = len(s.walls) == 1 && s.walls[0] != unrecordedWall
	switch {
	case !p.product.ok:
		return p.choose(r, p.product.problem, p.productChoices())
	case !p.instrument.ok:
		return p.choose(r, p.instrument.problem, p.instrumentChoices())
	case len(p.syringes) != 1:
		return p.choose(r, p.syringeProblem, p.syringeChoices())
	case len(s.seconds) > 1:
		return p.choose(r, "More than one hold is named.", p.secondsChoices())
	case len(s.pulls) > 1:
		return p.choose(r, "More than one pull is named.", p.pullChoices())
	}
	r.Product = s.ix.products[p.product.product]
	r.Instrument = p.instrument.instrument
	r.Syringe = p.syringes[0]
	return r
}

// choose completes a reading that has something open.
func (p pieces) choose(r Reading, problem string, choices []Choice) Reading {
	if len(choices) == 0 {
		return p.scan.unclear(problem, "")
	}
	r.Outcome, r.Problem, r.Choices = Choose, problem, choices
	r.Hint = "Pick one, or write it out. "
	if len(choices) > MaxChoices {
		r.Choices = choices[:MaxChoices]
		r.Hint = "These are the first " + trade.Number(MaxChoices) + "; if yours is not among them, type its name. "
	}
	r.Hint += p.scan.example(r.Choices...)
	return r
}

// allProducts returns every product, or those that are diluted as the text says if there are any.
func (s *scan) allProducts() []int32 {
	all := make([]int32, len(s.ix.products))
	for i := range all {
		all[i] = int32(i)
	}
	return s.narrow(all)
}
