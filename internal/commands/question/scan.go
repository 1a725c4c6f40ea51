package question

import (
	"slices"
	"strings"

	"holdbench/internal/calc"
)

// role is what a token was read as. Each token has one role, so nothing counts twice.
type role uint8

const (
	free     role = iota
	measured      // part of a gauge, a length, a volume, a time …
	noise         // a number or mark that says nothing about the set-up
	kinded        // needle, cannula
	walled        // thin wall, UTW
	syringed      // insulin, fixed needle, supplied syringe
	diluted       // diluted, 1:1, neat
	named         // part of a product name
)

// scan is a text while it is read.
type scan struct {
	ix     *Index
	source string // the text as typed
	stated Stated // what is settled beside the text
	toks   []token
	roles  []role

	quantities []amount
	gauges     []int
	lengths    []lengthRead
	seconds    []float64
	pulls      []float64
	kinds      kindRead
	walls      []calc.WallClass
	dilution   dilutionRead
	syringe    syringeRead
	protected  []nameMatch // names with numbers or marks in them
	negated    bool        // a measure or a kind is denied
	bad        string      // a sentence about a value that nothing has
}

func newScan(ix *Index, toks []token) *scan {
	toks = ix.splitGlued(toks)
	s := &scan{ix: ix, toks: toks, roles: make([]role, len(toks))}
	s.protectNames()
	return s
}

// readMeasures finds everything but the product. The order matters: what is surest comes first and takes its tokens
// away from the rest.
func (s *scan) readMeasures() {
	s.markNoise()
	s.readDilution()
	s.readWalls()
	s.readFixedNeedle()
	s.readKinds()
	s.readQuantities()
	s.spreadUnits()
	s.readPulls()
	s.readPairs()
	s.spreadUnits() // "27G 13 or 19": now that 13 has its unit
	s.readCorrectedLengths()
	s.readGauges()
	s.readLengths()
	s.readSeconds()
	s.placeKinds()
	s.readVolumes()
	s.checkNegation()
}

// has reports whether i is a token.
func (s *scan) has(i int) bool { return i >= 0 && i < len(s.toks) }

// word returns the word at i, "" if token i is none or has been taken.
func (s *scan) word(i int) string {
	if !s.has(i) || s.toks[i].is != word || s.roles[i] != free {
		return ""
	}
	return s.toks[i].text
}

// text returns the text of token i whatever it is, or "".
func (s *scan) text(i int) string {
	if !s.has(i) {
		return ""
	}
	return s.toks[i].text
}

// isMark reports whether token i is one of the marks.
func (s *scan) isMark(i int, marks string) bool {
	return s.has(i) && s.toks[i].is == mark && strings.Contains(marks, s.toks[i].text)
}

// isNumber reports whether token i is a number that is still free.
func (s *scan) isNumber(i int) bool {
	return s.has(i) && s.toks[i].is == number && s.roles[i] == free
}

// glued reports whether no blank stands before token i.
func (s *scan) glued(i int) bool { return s.has(i) && s.toks[i].glued }

// take gives the tokens from … to-1 a role.
func (s *scan) take(from, to int, r role) {
	for i := from; i < to; i++ {
		s.roles[i] = r
	}
}

// addOnce appends each of the values unless list has it.
func addOnce[T comparable](list []T, values ...T) []T {
	for _, v := range values {
		if !slices.Contains(list, v) {
			list = append(list, v)
		}
	}
	return list
}

// having are the values of a list that meet a condition.
func having[T any](list []T, meets func(T) bool) (kept []T) {
	for _, v := range list {
		if meets(v) {
			kept = append(kept, v)
		}
	}
	return kept
}

// only is the value of a list of one, 0 for any other list.
func only(list []float64) float64 {
	if len(list) == 1 {
		return list[0]
	}
	return 0
}
