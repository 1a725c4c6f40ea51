package question

import (
	"holdbench/internal/quantity"
	"holdbench/internal/spelling"
	"holdbench/internal/trade"
)

// dilutionRead is what a text, or a product's name, says about dilution.
type dilutionRead struct {
	said   bool    // diluted, in words or as a ratio
	neat   bool    // undiluted, in words
	ratio  float64 // product to diluent; 0 when no ratio was given
	ratios int     // how many different ratios
	odd    bool    // hyperdiluted, or "diluted with 1.5 ml": the list has no such ratio
	typed  string  // the ratio as typed

	inWords bool // a word for diluting was used
	at      int  // the ratio's first token
}

func (d *dilutionRead) addRatio(at int, a, b float64) {
	d.said, d.at = true, at
	if d.ratio != a/b {
		d.ratios++
	}
	d.ratio = a / b
	d.typed = trade.Number(a) + ":" + trade.Number(b)
}

func (d dilutionRead) stated() bool { return d.said || d.neat }

// clash reports whether what was said cannot all be true, or is odd.
func (d dilutionRead) clash() bool { return d.said && d.neat || d.ratios > 1 || d.odd }

// mixedWords speak of diluting where a ratio is given.
var mixedWords = list("mixed words")

var dilutionBook = book("dilution")

// readDilution finds the words about dilution and the ratios without a colon: "1 to 1", "1/1", "50/50". noise.go has
// read those with one.
func (s *scan) readDilution() {
	d := &s.dilution
	for i := range s.toks {
		means, end, ok := s.phraseAt(dilutionBook, i)
		if !ok {
			means, end = s.slippedDilution(i), i+1
		}
		if means == "" {
			continue
		}
		d.neat = d.neat || means == "neat" || means == "either" || s.dilutionDenied(i, end)
		d.said = d.said || means != "neat"
		d.odd = d.odd || means == "odd"
		d.inWords = true
		s.take(i, end, diluted)
	}
	for i := range s.toks {
		s.readRatioInWords(i)
	}
	for i := range s.toks {
		if s.dilution.ratios > 0 && mixedWords[s.word(i)] {
			s.roles[i], s.dilution.inWords = diluted, true
		}
	}
	if s.dilution.said && s.dilution.ratios == 0 && s.dilutedWithVolume() {
		s.dilution.odd = true
	}
}

// denials before or behind a word for diluting take it back. Which gel is meant is then asked about, unless the whole
// phrase is one of the book's.
var denials = list("denials")

// dilutionDenied reports whether a word beside the tokens from … to-1 takes back
// that the gel is diluted.
func (s *scan) dilutionDenied(from, to int) bool {
	for i := from - 1; i >= from-5 && !s.isMark(i, ".?!;\n"); i-- {
		if denials[s.text(i)] {
			return true
		}
	}
	for i := to; i < to+2; i++ {
		if w := s.text(i); w == "not" || w == "no" {
			return true
		}
	}
	return false
}

// slippedDilution reads "diluted" and "undiluted" with slips. A word that could be either leaves that open.
func (s *scan) slippedDilution(i int) (means string) {
	w, before := s.word(i), i-1
	if w == "" || everyday[w] {
		return ""
	}
	if s.isMark(before, "-") {
		before--
	}
	thin := min(spelling.Cost(w, "diluted"), spelling.Cost(w, "dilution")) <= spelling.TwoSlips
	together := s.text(before) + w // "und iluted"
	neat := min(spelling.Cost(w, "undiluted"), spelling.Cost(together, "undiluted")) <= spelling.TwoSlips
	switch {
	case thin && neat:
		return "either"
	case thin:
		return "diluted"
	case neat:
		return "neat"
	}
	return ""
}

// readRatioInWords reads a ratio without a colon. Two different parts ("1 to 2", "1/2") are one only where the text
// speaks of diluting.
func (s *scan) readRatioInWords(i int) {
	a, ok := s.part(i)
	if !ok || a == 0 {
		return
	}
	endA := i + 1
	joint := s.text(endA)
	if joint != "to" && joint != "/" && joint != "+" && joint != "in" {
		return
	}
	b, ok := s.part(endA + 1)
	endB := endA + 2
	if !ok || b == 0 || joint == "/" && !(s.glued(endA) && s.glued(endB-1)) || s.isMark(endB, "/") ||
		s.isMark(endA-2, "/") {
		return
	}
	if _, unit := unitOf(s.word(endB)); unit || s.isMark(endB, `"%`) {
		return
	}
	if a == b && (a == 1 || a == 50) && joint != "in" ||
		s.dilution.said && a <= 5 && b <= 10 && joint != "in" && quantity.UnitOf(s.text(i-1)) != quantity.Gauge {
		s.dilution.addRatio(i, a, b)
		s.take(i, endB, diluted)
	}
}

// diluents are what gels are thinned with.
var diluents = list("diluents")

// diluentAfter reports whether a diluent follows m although the text says nothing of diluting: "Hesk Paste + saline",
// or a name that goes on "with lidocaine".
func (s *scan) diluentAfter(m nameMatch) bool {
	if s.dilution.stated() {
		return false
	}
	for i := m.last() + 1; s.has(i) && i <= m.last()+6 && !s.isMark(i, ",.?!;\n"); i++ {
		if diluents[s.word(i)] {
			return true
		}
	}
	return false
}

// ratioAstray reports whether the ratio stands apart from the name, with no word for diluting: "my 1:1 session".
func (s *scan) ratioAstray() bool {
	if s.dilution.ratios == 0 || s.dilution.inWords {
		return false
	}
	return !s.leadsToName(s.dilution.at, -1) && !s.leadsToName(s.dilution.at, 1)
}

// ratioLinks may stand between a ratio and the name it belongs to.
var ratioLinks = list("ratio links")

// leadsToName reports whether a name is next in the direction of step, after sizes and small words.
func (s *scan) leadsToName(i, step int) bool {
	for i += step; s.has(i) && s.roles[i] != named && !s.isMark(i, ".?!\n"); i += step {
		if s.roles[i] == free && s.toks[i].is == word && !ratioLinks[s.text(i)] {
			return len(s.ix.options(s.text(i))) > 0
		}
	}
	return s.has(i) && s.roles[i] == named
}

// dilutedWithVolume reports whether the dilution is given as a volume, "diluted with 1.5 ml saline". That is no
// ratio: it does not say how much gel was in the syringe.
func (s *scan) dilutedWithVolume() bool {
	for i := range s.toks {
		if s.roles[i] != diluted || !(s.text(i+1) == "with" || s.text(i+1) == "in" || s.text(i+1) == "by") ||
			!s.isNumber(i+2) {
			continue
		}
		if u, _ := unitOf(s.word(i + 3)); u == quantity.ML {
			return true
		}
	}
	return false
}
