package question

import "slices"

// readStraySizes reads a number that was not understood as a second size if it can be one: "27 neulalla 30G" names two
// gauges, and it is asked which is meant.
func (s *scan) readStraySizes() {
	for _, q := range s.quantities {
		if !q.bare() || q.fraction || numberLeaders[s.text(q.from-1)] || s.negatedAt(q.from) || s.gluedToWord(q.from) {
			continue
		}
		switch {
		case plausibleGauge(q.value):
			if len(s.gauges) > 0 {
				s.gauges = addOnce(s.gauges, int(q.value))
			}
		case len(s.lengths) == 1 && s.ix.listsLength(q.value) && s.standsAlone(q) &&
			!slices.Contains(s.lengths[0].options, nominal(q.value)):
			s.lengths = append(s.lengths, lengthRead{[]float64{nominal(q.value)}})
		}
	}
}

// gluedToWord reports whether the number at i follows letters without a blank: F45, x2.
func (s *scan) gluedToWord(i int) bool {
	return s.glued(i) && s.toks[i-1].is == word && s.roles[i-1] != measured
}

// standsAlone reports whether no word stands beside q and nothing continues it, as in "4..4".
func (s *scan) standsAlone(q amount) bool {
	return s.word(q.from-1) == "" && s.word(q.to) == "" && !(s.isMark(q.to, ".") && s.glued(q.to+1))
}
