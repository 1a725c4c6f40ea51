package question

import (
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/spelling"
	"holdbench/internal/trade"
)

// products is the last product, or those that the text names.
func (f *followUp) products() (found []trade.Product, said bool) {
	at := f.ix.numberOf(f.last.Product)
	if at < 0 {
		return nil, false // it is no longer on the list
	}
	var options []int32
	for _, m := range f.nameMatches() {
		if m.cost > spelling.Exact && !m.full() || f.negatedAt(m.first()) ||
			m.strength >= part && f.ordinaryUse(m.first()) {
			continue
		}
		f.named = append(f.named, m.at...)
		fits := m.products
		if m.full() {
			fits = f.dilute(m)
		}
		if sisters := f.sisters(fits, at); m.strength >= part && len(sisters) > 0 {
			fits = sisters
		}
		options = addOnce(options, fits...)
	}
	if len(options) == 0 && f.dilution.stated() {
		options = f.sisters(f.narrowTo(f.allProducts()), at)
	}
	if len(options) == 0 {
		return []trade.Product{f.last.Product}, false
	}
	if len(options) > 1 {
		f.problem = "More than one gel fits."
	}
	for _, p := range options {
		found = append(found, f.ix.products[p])
	}
	return found, true
}

// sisters are those of the products whose names begin with the same word as that of another.
func (f *followUp) sisters(products []int32, of int32) []int32 {
	return having(products, func(p int32) bool { return f.ix.facts[p].head == f.ix.facts[of].head })
}

// instruments is the last instrument, or those that the text names. A part that the text leaves out stays if the list
// has such an instrument; if not, the only one on the list that fits is meant.
func (f *followUp) instruments() (found []trade.Instrument, said bool) {
	was := f.last.Instrument
	if len(f.gauges)+len(f.lengths)+len(f.walls) == 0 && (!f.kindSaid() || f.kind() == was.Kind) {
		return []trade.Instrument{was}, false
	}
	if len(f.gauges) > 1 || len(f.lengths) > 1 || len(f.walls) > 1 || f.kinds.asked || f.fixedCannula() {
		return nil, true
	}
	options := f.sizesLike(was)
	if len(options) == 1 {
		return options, true
	}
	f.problem = "More than one needle or cannula fits."
	return options, true
}

// sizesLike are the listed instruments that fit the text: those of the last one's kind, length and gauge, if any are.
func (f *followUp) sizesLike(was trade.Instrument) []trade.Instrument {
	var lengths []float64
	for _, l := range f.lengths {
		lengths = append(lengths, l.options...)
	}
	options := f.listed(f.gauges, lengths)
	like := []func(trade.Instrument) bool{}
	if !f.kindSaid() {
		like = append(like, func(in trade.Instrument) bool { return in.Kind == was.Kind })
	}
	if len(lengths) == 0 {
		like = append(like, func(in trade.Instrument) bool { return nominal(in.LengthMM) == nominal(was.LengthMM) })
	}
	if len(f.gauges) == 0 {
		like = append(like, func(in trade.Instrument) bool { return in.Gauge == was.Gauge })
	}
	for _, alike := range like {
		if nearer := having(options, alike); len(nearer) > 0 {
			options = nearer
		}
	}
	if len(f.walls) == 1 {
		options = f.ofWallLike(options, was)
	}
	if len(options) > 0 {
		return options
	}
	stated := trade.Instrument{Kind: was.Kind, Gauge: was.Gauge, LengthMM: was.LengthMM, Wall: f.wallSaid()}
	if f.kindSaid() {
		stated.Kind = f.kind()
	}
	if len(f.gauges) == 1 {
		stated.Gauge = f.gauges[0]
	}
	if len(lengths) == 1 {
		stated.LengthMM = lengths[0]
	}
	if stated.Kind != was.Kind && (len(f.gauges) == 0 || len(lengths) == 0) {
		return nil // a needle's length is no cannula's
	}
	return []trade.Instrument{stated}
}

// ofWallLike are the options of the named wall class, or the last size in that class if there is none.
func (f *followUp) ofWallLike(options []trade.Instrument, was trade.Instrument) []trade.Instrument {
	if same := withWall(options, f.walls[0]); len(same) > 0 {
		return same
	}
	if len(options) == 1 {
		was = options[0]
	}
	return []trade.Instrument{{Kind: was.Kind, Gauge: was.Gauge, LengthMM: was.LengthMM, Wall: f.wallSaid()}}
}

// wallSaid is the named wall class, "" for none and for one that is not recorded.
func (f *followUp) wallSaid() calc.WallClass {
	if len(f.walls) != 1 || f.walls[0] == unrecordedWall {
		return ""
	}
	return f.walls[0]
}

// syringesFor is the last syringe, or those that the text names. The needle of a fixed-needle syringe cannot be
// changed: beside another size it is open which syringe is meant.
func (f *followUp) syringesFor(instruments []trade.Instrument, sized bool) (found []trade.Syringe, said bool) {
	s := f.syringe
	if s.fixed || s.supplied || len(s.named)+len(s.volumes)+len(s.doubtful) > 0 {
		found, problem := f.readSyringe()
		if len(found) > 1 {
			f.problem = problem
		}
		return found, true
	}
	needles := slices.ContainsFunc(instruments, func(in trade.Instrument) bool { return in.Kind == trade.Needle })
	if sized && f.last.Syringe.FixedNeedle && !needles {
		return []trade.Syringe{f.ix.supplied()}, false // a cannula goes on no other
	}
	if sized && f.last.Syringe.FixedNeedle {
		f.problem = "Which syringe is meant is not clear."
		return []trade.Syringe{f.ix.supplied(), f.last.Syringe}, false
	}
	return []trade.Syringe{f.last.Syringe}, false
}
