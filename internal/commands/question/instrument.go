package question

import (
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// instrumentRead is what the text says about the needle or cannula.
type instrumentRead struct {
	instrument trade.Instrument
	ok         bool
	options    []trade.Instrument // when not ok: what it could be
	problem    string             // when not ok: why
	stated     bool               // a gauge or a length is named
}

// unstatedCannulaMM is the length, mm, from which an unlisted instrument could be a cannula if the text does not say
// its kind (common practice).
const unstatedCannulaMM = 25

// readInstrument decides which instrument the text names. It needs a gauge and a length; the kind may follow from the
// list.
func (s *scan) readInstrument() instrumentRead {
	r := instrumentRead{stated: len(s.gauges)+len(s.lengths) > 0, problem: s.instrumentProblem()}
	if r.problem != "" {
		r.options = s.instrumentOptions()
		return r
	}
	r.options, r.problem = s.sized(s.gauges[0], s.lengths[0].options[0])
	if r.problem == "" {
		r.instrument, r.ok = r.options[0], true
	}
	return r
}

// instrumentProblem says what is missing or named twice, "" for neither.
func (s *scan) instrumentProblem() string {
	switch {
	case s.fixedCannula():
		return "A fixed-needle syringe has no cannula."
	case s.negated:
		return "Which needle or cannula is meant is not clear."
	case len(s.gauges) == 0 && s.namesColour():
		return "A colour alone is not read as a gauge; the gauge stands on the box."
	case len(s.gauges) == 0 && len(s.lengths) == 0:
		return "No needle or cannula is named."
	case len(s.gauges) == 0:
		return "No gauge is named."
	case len(s.gauges) > 1:
		return "More than one gauge is named."
	case len(s.lengths) == 0:
		return "No length is named."
	case len(s.lengths) > 1:
		return "More than one length is named."
	case len(s.lengths[0].options) > 1:
		return "That length in inches is sold as 4 mm and as 5 mm."
	case s.kinds.needle && s.kinds.cannula, s.kinds.asked:
		return "Is a needle or a cannula meant?"
	case len(s.walls) > 1:
		return "More than one wall class is named."
	}
	return ""
}

var colours = list("colours")

// namesColour reports whether the text describes a needle or cannula by the colour of its hub.
func (s *scan) namesColour() bool {
	for i := range s.toks {
		if colours[s.word(i)] && (s.kindFollows(i+1) || s.text(i+1) == "hub" || s.text(i+1) == "one") {
			return true
		}
	}
	return false
}

// fixedCannula reports whether the text names a cannula on a fixed-needle syringe.
func (s *scan) fixedCannula() bool { return s.syringe.fixed && s.kinds.cannula }

// sized returns what one gauge with one length can be: the listed instruments of that size, or one as stated if the
// list has none that fits.
func (s *scan) sized(gauge int, mm float64) (options []trade.Instrument, problem string) {
	listed := s.listed([]int{gauge}, []float64{mm})
	if len(listed) == 0 && s.kindSaid() && s.kinds.apart && s.ix.listsSize(gauge, mm) {
		return s.bothKinds(s.ix.ofSize(gauge, mm), gauge, mm), "The list has that size as the other kind only."
	}
	if len(s.walls) == 1 {
		return s.ofWall(listed, gauge, mm)
	}
	switch {
	case len(listed) == 0:
		return s.asStated(gauge, mm, "")
	case len(listed) == 1:
		return listed, ""
	case sameKind(listed):
		return listed, "The list has that size in more than one wall class."
	}
	return listed, "The list has that size as a needle and as a cannula."
}

// ofWall returns what a size with a named wall class can be: the listed one of that class, or one listed without a
// class if the usual class is named, or else one as stated. It is never one listed with another class.
func (s *scan) ofWall(listed []trade.Instrument, gauge int, mm float64) (options []trade.Instrument, problem string) {
	want := s.walls[0]
	same := withWall(listed, want)
	if want == unrecordedWall || want == calc.AssumedWall && len(same) == 0 {
		same = withWall(listed, "")
	}
	switch {
	case len(same) == 1:
		return same, ""
	case len(same) > 1:
		return same, "The list has that size as a needle and as a cannula."
	case want == unrecordedWall:
		return s.asStated(gauge, mm, "")
	case len(listed) > 0 && sameKind(listed):
		return []trade.Instrument{{Kind: listed[0].Kind, Gauge: gauge, LengthMM: mm, Wall: want}}, ""
	}
	return s.asStated(gauge, mm, want)
}

func withWall(list []trade.Instrument, wall calc.WallClass) []trade.Instrument {
	return having(list, func(in trade.Instrument) bool { return in.Wall == wall })
}

// asStated returns the instrument as stated, on the list or not: of the kind that was said, or a needle if a cannula is
// unlikely.
func (s *scan) asStated(gauge int, mm float64, wall calc.WallClass) (options []trade.Instrument, problem string) {
	in := trade.Instrument{Gauge: gauge, LengthMM: mm, Wall: wall, Kind: s.kind()}
	if s.kindSaid() || s.syringe.fixed || mm < unstatedCannulaMM {
		return []trade.Instrument{in}, ""
	}
	other := in
	other.Kind = trade.Cannula
	return []trade.Instrument{in, other}, "A needle or a cannula of that size?"
}

// ofSize returns the listed instruments of a size, of any kind.
func (ix *Index) ofSize(gauge int, mm float64) []trade.Instrument {
	return having(ix.instruments, func(in trade.Instrument) bool {
		return in.Gauge == gauge && nominal(in.LengthMM) == mm
	})
}

// kind is the kind that was said, a needle for none.
func (s *scan) kind() trade.Kind {
	if s.kinds.cannula {
		return trade.Cannula
	}
	return trade.Needle
}

func (s *scan) kindSaid() bool { return s.kinds.needle != s.kinds.cannula }

// fitsKind reports whether an instrument is of the kind that was said, if any.
func (s *scan) fitsKind(in trade.Instrument) bool {
	if s.syringe.fixed && !s.syringe.supplied && in.Kind == trade.Cannula {
		return false
	}
	return !s.kindSaid() || s.kinds.asked || in.Kind == s.kind()
}

// listed returns the listed instruments of these gauges, these lengths and the kind that was said; none given is any.
func (s *scan) listed(gauges []int, lengths []float64) []trade.Instrument {
	return having(s.ix.instruments, func(in trade.Instrument) bool {
		size := (len(gauges) == 0 || slices.Contains(gauges, in.Gauge)) &&
			(len(lengths) == 0 || hasLength(lengths, in.LengthMM))
		return size && s.fitsKind(in)
	})
}

func hasLength(list []float64, mm float64) bool {
	return slices.ContainsFunc(list, func(have float64) bool { return have == mm || nominal(have) == nominal(mm) })
}

// sameKind reports whether all are needles or all are cannulas.
func sameKind(list []trade.Instrument) bool {
	return !slices.ContainsFunc(list, func(in trade.Instrument) bool { return in.Kind != list[0].Kind })
}
