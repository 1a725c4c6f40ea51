package question

import (
	"slices"

	"holdbench/internal/trade"
)

// ProductRead is what the name of a gel was read as.
type ProductRead struct {
	Product trade.Product
	Known   bool            // the text is one of its names but for letter case, spaces and accents
	Options []trade.Product // unless known: what it could be, also if a listed name is part of the text
}

// ReadProduct reads the value of an option that takes a gel, by its whole name or an alias.
func (ix *Index) ReadProduct(text string) ProductRead {
	for _, key := range []func(string) string{trade.Fold, plainKey} {
		if found := ix.called(text, key); len(found) == 1 {
			return ProductRead{Product: found[0], Known: true}
		} else if len(found) > 1 {
			return ProductRead{Options: found}
		}
	}
	var r ProductRead
	if s := ix.measured(text); s != nil {
		read := s.readProduct()
		if read.ok {
			read.options = s.withSiblings([]int32{read.product})
		}
		for _, p := range read.options[:min(len(read.options), MaxChoices)] {
			r.Options = append(r.Options, ix.products[p])
		}
	}
	return r
}

// measured is a text whose measures have been read, nil for one that is too long.
func (ix *Index) measured(text string) *scan {
	toks, ok := tokensOf(text)
	if !ok {
		return nil
	}
	s := newScan(ix, toks)
	s.readMeasures()
	return s
}

// plainKey is a name without accents.
func plainKey(name string) string { return trade.Fold(fold(name)) }

// called returns the products that go by a name, compared by a key.
func (ix *Index) called(text string, key func(string) string) []trade.Product {
	want := key(text)
	same := func(name string) bool { return want != "" && key(name) == want }
	return having(ix.products, func(p trade.Product) bool {
		return same(p.Name) || slices.ContainsFunc(p.Aliases, same)
	})
}

// ReadSyringe reads the value of an option that takes a syringe: the one of that name, or what it could be.
func (ix *Index) ReadSyringe(text string) []trade.Syringe {
	for _, sy := range ix.syringes {
		if trade.Fold(sy.Name) == trade.Fold(text) {
			return []trade.Syringe{sy}
		}
	}
	s := ix.measured(text)
	if s == nil {
		return nil
	}
	if q := s.syringe; !q.fixed && !q.supplied && len(q.named)+len(q.doubtful) == 0 {
		return nil
	}
	options, _ := s.readSyringe()
	return options
}

// SetupRead is what was read of a needle or cannula and a syringe, without a gel.
type SetupRead struct {
	Instrument  trade.Instrument
	Syringe     trade.Syringe
	Known       bool               // both are
	Instruments []trade.Instrument // if the instrument is open: what it could be
	Syringes    []trade.Syringe    // if the syringe is open: what it could be
	PullML      float64            // the pull that the text names, mL; 0 for none
	Problem     string             // one sentence, unless known
	Rest        []string           // words and numbers that were not understood, as typed
}

// ReadSetup reads an instrument and a syringe: "30G 13 mm needle, supplied syringe".
func (ix *Index) ReadSetup(text string) SetupRead {
	s := ix.measured(text)
	if s == nil {
		return SetupRead{Problem: "That is too long."}
	}
	in := s.readInstrument()
	syringes, problem := s.readSyringe()
	r := SetupRead{Rest: s.rest(), PullML: only(s.pulls)}
	switch {
	case s.bad != "":
		r.Problem = s.bad
	case !in.ok:
		r.Problem, r.Instruments = in.problem, in.options
	case len(syringes) != 1:
		r.Problem, r.Instrument, r.Syringes = problem, in.instrument, syringes
	case len(s.pulls) > 1:
		r.Problem = "More than one pull is named."
	default:
		r.Instrument, r.Syringe, r.Known = in.instrument, syringes[0], true
	}
	return r
}
