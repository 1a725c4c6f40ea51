package question

import "holdbench/internal/trade"

// syringeRead is what the text says about the syringe.
type syringeRead struct {
	fixed    bool
	supplied bool
	spans    [][2]int        // the tokens of each word for a fixed-needle syringe: from, and past the last
	volumes  []float64       // of the fixed-needle syringe, mL
	doubtful []float64       // volumes that may be the syringe's or the gel's, mL
	other    bool            // a syringe of a volume that is not listed
	negated  bool            // a syringe is denied
	named    []trade.Syringe // other syringes of the list, by their names
}

var syringeBook = book("syringe")

// insulinVolumes are the volumes, mL, that insulin syringes are made in (common practice, no source). A syringe of
// one may be named although it is not listed.
var insulinVolumes = []float64{0.3, 0.5, 1}

// readFixedNeedle finds the words for syringes, before kind.go reads "needle".
func (s *scan) readFixedNeedle() {
	for i := range s.toks {
		means, end, ok := s.phraseAt(syringeBook, i)
		if !ok {
			continue
		}
		s.take(i, end, syringed)
		if means == "fixed" {
			s.addFixed(i, end)
		} else {
			s.syringe.supplied = true
		}
	}
	for i := range s.toks {
		if end, ok := s.insulinStrength(i); ok {
			s.take(i, end, syringed)
			s.addFixed(i, end)
		}
	}
	s.readListedSyringes()
}

func (s *scan) addFixed(from, to int) {
	s.syringe.fixed = true
	s.syringe.spans = append(s.syringe.spans, [2]int{from, to})
}

// insulinStrength reads "U100" or "U-100", which is printed on insulin syringes only.
func (s *scan) insulinStrength(i int) (end int, ok bool) {
	if s.word(i) != "u" {
		return i, false
	}
	if i++; s.isMark(i, "-") {
		i++
	}
	return i + 1, s.text(i) == "100"
}

// readListedSyringes finds other syringes of the group's list by their names.
func (s *scan) readListedSyringes() {
	for n, words := range s.ix.syringeNames {
		if len(words) == 0 {
			continue
		}
		for i := range s.toks {
			if s.sameTokens(i, words) {
				s.syringe.named = addOnce(s.syringe.named, s.ix.syringes[n])
				s.take(i, i+len(words), syringed)
			}
		}
	}
}

// sameTokens reports whether the tokens from i on are these and free.
func (s *scan) sameTokens(i int, words []string) bool {
	for n, w := range words {
		if s.text(i+n) != w || s.roles[i+n] != free {
			return false
		}
	}
	return true
}
