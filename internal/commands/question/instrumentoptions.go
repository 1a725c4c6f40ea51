package question

// instrumentOptions returns what an incomplete or contradictory statement could
// mean: the listed instruments that agree with what was said, and where a whole
// size was said that is not listed, that too.
func (s *scan) instrumentOptions() []Instrument {
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
func (s *scan) bothKinds(options []Instrument, gauge int, mm float64) []Instrument {
	for _, cannula := range []bool{false, true} {
		missing := true
		for _, in := range options {
			missing = missing && in.Cannula != cannula
		}
		if missing {
			options = append(options, Instrument{Cannula: cannula, Gauge: gauge, LengthMM: mm})
		}
	}
	return options
}

// borrowed completes a gauge that the list does not have with the lengths that
// it has, or a length with its gauges. What was said is kept: never a needle
// of another gauge.
func (s *scan) borrowed(lengths []float64) []Instrument {
	var options []Instrument
	for _, in := range s.ix.instruments {
		if s.syringe.fixed && in.Cannula {
			continue
		}
		if s.kindSaid() {
			in.Cannula = s.kinds.cannula
		}
		out := Instrument{Cannula: in.Cannula, Gauge: in.Gauge, LengthMM: nominal(in.LengthMM)}
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
