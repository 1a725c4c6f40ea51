package question

import (
	"slices"

	"holdbench/internal/trade"
)

// Stated are the parts of a question that are settled before its text is read: the value of an option, or what was
// picked. Nil and 0 leave a part to the text.
type Stated struct {
	Product    *trade.Product
	Instrument *trade.Instrument
	Syringe    *trade.Syringe
	BySeconds  float64
	PullML     float64
}

// StatedAs states the whole of a combination.
func StatedAs(c trade.Combination) Stated {
	return Stated{Product: &c.Product, Instrument: &c.Instrument, Syringe: &c.Syringe}
}

// In is a combination with the stated parts in place of its own.
func (s Stated) In(c trade.Combination) trade.Combination {
	if s.Product != nil {
		c.Product = *s.Product
	}
	if s.Instrument != nil {
		c.Instrument = *s.Instrument
	}
	if s.Syringe != nil {
		c.Syringe = *s.Syringe
	}
	return c
}

// ReadQuestion is Read for a question with parts stated beside it. If the text contradicts a stated part it is asked
// which is meant; what the text leaves open is settled by the stated part. A number that could be another size is
// asked about.
func (ix *Index) ReadQuestion(text string, stated Stated) Reading {
	return ix.read(text, stated, func(s *scan) {
		s.readMeasures()
		s.readStraySizes()
	})
}

func (ix *Index) read(text string, stated Stated, measures func(*scan)) Reading {
	toks, ok := tokensOf(text)
	if !ok {
		return ix.tooLong()
	}
	s := newScan(ix, toks)
	s.source, s.stated = text, stated
	measures(s)
	r := s.decide()
	r.Rest = s.rest()
	return r
}

// settleProduct settles what the text leaves open by the stated product.
func (s *scan) settleProduct(r productRead) productRead {
	if s.stated.Product == nil || r.unread != "" {
		return r
	}
	at := s.ix.numberOf(*s.stated.Product)
	if at < 0 {
		return r
	}
	named := r.options
	if r.ok {
		named = []int32{r.product}
	}
	if len(named) > 0 && !slices.Contains(named, at) {
		return productRead{options: append([]int32{at}, named...), problem: "More than one gel is named."}
	}
	return productRead{product: at, ok: true}
}

// numberOf is a product's place on the list, -1 if it is not on it.
func (ix *Index) numberOf(p trade.Product) int32 {
	same := func(have trade.Product) bool { return have.ID == p.ID }
	return int32(slices.IndexFunc(ix.products, same))
}

// settleInstrument settles what the text leaves open by the stated instrument.
func (s *scan) settleInstrument(r instrumentRead) instrumentRead {
	if s.stated.Instrument == nil {
		return r
	}
	want := *s.stated.Instrument
	same := func(in trade.Instrument) bool {
		return in.Kind == want.Kind && in.Gauge == want.Gauge && nominal(in.LengthMM) == nominal(want.LengthMM)
	}
	against := r.ok && !same(r.instrument) || !r.ok && r.stated && !slices.ContainsFunc(r.options, same)
	if !r.ok && !r.stated && s.kindSaid() && s.kind() != want.Kind {
		against = true
	}
	if against {
		if r.ok {
			r.options = []trade.Instrument{r.instrument}
		}
		options := append([]trade.Instrument{want}, r.options...)
		return instrumentRead{options: options, stated: true, problem: "More than one needle or cannula is named."}
	}
	return instrumentRead{instrument: want, ok: true, stated: true}
}

// settleSyringe settles what the text leaves open by the stated syringe.
func (s *scan) settleSyringe(options []trade.Syringe, problem string) ([]trade.Syringe, string) {
	if s.stated.Syringe == nil {
		return options, problem
	}
	want := *s.stated.Syringe
	said := s.syringe.fixed || s.syringe.supplied || len(s.syringe.named)+len(s.syringe.doubtful) > 0
	if said && !slices.ContainsFunc(options, func(sy trade.Syringe) bool { return sy.Name == want.Name }) {
		return append([]trade.Syringe{want}, options...), "More than one syringe is named."
	}
	return []trade.Syringe{want}, ""
}

// settleMeasures settles the hold and the pull by the stated ones. Others in the text are asked about.
func (s *scan) settleMeasures() {
	s.seconds = settled(s.seconds, s.stated.BySeconds)
	s.pulls = settled(s.pulls, s.stated.PullML)
}

func settled(said []float64, stated float64) []float64 {
	switch {
	case stated == 0:
		return said
	case len(said) == 0 || slices.Contains(said, stated):
		return []float64{stated}
	}
	return append([]float64{stated}, said...)
}
