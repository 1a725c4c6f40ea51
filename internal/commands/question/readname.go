package question

import (
	"slices"

	"holdbench/internal/trade"
)

// ProductRead is what a whole name was read as.
type ProductRead struct {
	Product trade.Product
	Known   bool            // the text is one of its names, letter case, spaces and accents apart
	Options []trade.Product // when not known: what it could be; a listed name inside a longer one is no more than that
}

// ReadProduct reads the text of an option: it is the whole name of a gel, an alias,
// or asked about.
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

// measured is a text with its measures read, nil for one that is too long.
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

// ReadSyringe reads the text of an option: the syringe of that name, or what it could be.
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
	Instruments []trade.Instrument // when the instrument is open: what it could be
	Syringes    []trade.Syringe    // when the syringe is
	PullML      float64            // 0: none named
	Problem     string             // unless known
	Rest        []string           // what was typed and nothing was made of
}

// ReadSetup reads "30G 13 mm needle, supplied syringe" and what people type for it.
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
