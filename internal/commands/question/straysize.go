package question

import "slices"

// readStraySizes takes numbers that nothing was made of and that could be a size beside the
// stated one for such: "27 neulalla 30G" names two gauges then, and is asked about. What
// cannot be a size says nothing.
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

// gluedToWord reports whether the number at i runs on from letters: F45, x2.
func (s *scan) gluedToWord(i int) bool {
	return s.glued(i) && s.has(i-1) && s.toks[i-1].is == word && s.roles[i-1] != measured
}

// standsAlone reports whether nothing stands beside q that could say what it counts, or that
// runs on from it: "4..4".
func (s *scan) standsAlone(q amount) bool {
	return s.word(q.from-1) == "" && s.word(q.to) == "" && !(s.isMark(q.to, ".") && s.glued(q.to+1))
}
