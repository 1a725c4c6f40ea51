package question

import "holdbench/internal/trade"

// instrumentOptions returns what an incomplete or contradictory statement could
// mean: the listed instruments that agree with what was said, and where a whole
// size was said that is not listed, that too.
func (s *scan) instrumentOptions() []trade.Instrument {
	var lengths []float64
	for _, l := range s.lengths {
		lengths = append(lengths, l.options...)
	}
	options := s.listed(s.gauges, lengths)
	if s.kinds.asked && len(s.gauges) == 1 && len(lengths) == 1 {
		return s.bothKinds(options, s.gauges[0], lengths[0])
	}
	if len(s.gauges) > 0 && len(lengths) > 0 {
		for _, g := range s.gauges {
			for _, mm := range lengths {
				if !s.ix.listsSize(g, mm) {
					stated, _ := s.asStated(g, mm, "")
					options = append(options, stated...)
				}
			}
		}
	}
	if len(options) == 0 {
		options = s.borrowed(lengths)
	}
	return options
}

// bothKinds returns the listed instruments of a size, and the kinds that the
// list lacks as stated.
func (s *scan) bothKinds(options []trade.Instrument, gauge int, mm float64) []trade.Instrument {
	for _, kind := range []trade.Kind{trade.Needle, trade.Cannula} {
		missing := true
		for _, in := range options {
			missing = missing && in.Kind != kind
		}
		if missing {
			options = append(options, trade.Instrument{Kind: kind, Gauge: gauge, LengthMM: mm})
		}
	}
	return options
}

// borrowed completes a gauge that the list does not have with the lengths that
// it has, or a length with its gauges. What was said is kept: never a needle
// of another gauge.
func (s *scan) borrowed(lengths []float64) []trade.Instrument {
	var options []trade.Instrument
	for _, in := range s.ix.instruments {
		if s.syringe.fixed && in.Kind == trade.Cannula {
			continue
		}
		if s.kindSaid() {
			in.Kind = s.kind()
		}
		out := trade.Instrument{Kind: in.Kind, Gauge: in.Gauge, LengthMM: nominal(in.LengthMM)}
		switch {
		case len(s.gauges) > 0:
			for _, g := range s.gauges {
				out.Gauge = g
				options = addOnce(options, out)
			}
		case len(lengths) > 0:
			for _, mm := range lengths {
				out.LengthMM = mm
				options = addOnce(options, out)
			}
		default:
			options = addOnce(options, out)
		}
	}
	return options
}
