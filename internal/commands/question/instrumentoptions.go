package question

import (
	"slices"

	"holdbench/internal/trade"
)

// instrumentOptions returns what an incomplete or contradictory text could mean: the listed instruments that fit, and
// each whole size that is not listed.
func (s *scan) instrumentOptions() []trade.Instrument {
	var lengths []float64
	for _, l := range s.lengths {
		lengths = append(lengths, l.options...)
	}
	options := s.listed(s.gauges, lengths)
	if s.kinds.asked && len(s.gauges) == 1 && len(lengths) == 1 {
		return s.bothKinds(options, s.gauges[0], lengths[0])
	}
	for _, g := range s.gauges {
		for _, mm := range lengths {
			if !s.ix.listsSize(g, mm) {
				stated, _ := s.asStated(g, mm, "")
				options = append(options, stated...)
			}
		}
	}
	if len(options) == 0 {
		options = s.borrowed(lengths)
	}
	return options
}

// bothKinds adds to the listed instruments of a size the kinds that the list does not have.
func (s *scan) bothKinds(options []trade.Instrument, gauge int, mm float64) []trade.Instrument {
	for _, kind := range []trade.Kind{trade.Needle, trade.Cannula} {
		if !slices.ContainsFunc(options, func(in trade.Instrument) bool { return in.Kind == kind }) {
			options = append(options, trade.Instrument{Kind: kind, Gauge: gauge, LengthMM: mm})
		}
	}
	return options
}

// borrowed completes gauges that the list does not have with the lengths that it has, or lengths with its gauges.
func (s *scan) borrowed(lengths []float64) (options []trade.Instrument) {
	for _, in := range s.ix.instruments {
		if s.syringe.fixed && in.Kind == trade.Cannula {
			continue
		}
		if s.kindSaid() {
			in.Kind = s.kind()
		}
		out := trade.Instrument{Kind: in.Kind, Gauge: in.Gauge, LengthMM: nominal(in.LengthMM)}
		for _, g := range s.gauges {
			out.Gauge = g
			options = addOnce(options, out)
		}
		if len(s.gauges) > 0 {
			continue
		}
		for _, mm := range lengths {
			out.LengthMM = mm
			options = addOnce(options, out)
		}
		if len(lengths) == 0 {
			options = addOnce(options, out)
		}
	}
	return options
}
