package question

import (
	"fmt"
	"math"
	"slices"

	"holdbench/internal/quantity"
)

// The exposed lengths that a question may name, mm. Assumption: nothing shorter or longer is made for this work.
const (
	shortestMM = 2
	longestMM  = 100
)

// inchLength is a length in inches with the lengths in mm that it is sold as.
type inchLength struct {
	inches float64
	mm     []float64
}

// inchLengths are the inch lengths of the trade (common practice, no source). 3/16 inch is 4.76 mm and is printed on
// boxes of 4 mm and of 5 mm needles: it stays open unless the text has the millimetres as well.
var inchLengths = []inchLength{
	{5. / 32, []float64{4}}, {3. / 16, []float64{4, 5}}, {1. / 4, []float64{6}}, {5. / 16, []float64{8}},
	{3. / 8, []float64{10}},
	{1. / 2, []float64{13}}, {5. / 8, []float64{16}}, {3. / 4, []float64{19}}, {1, []float64{25}},
	{1.25, []float64{32}},
	{1.5, []float64{38}}, {2, []float64{50}}, {2.75, []float64{70}},
}

// mmPerInch is exact, by definition of the inch.
const mmPerInch = 25.4

// lengthRead is one length of the text: what it can be, mm.
type lengthRead struct {
	options []float64
}

// fromInches returns the millimetre lengths that a length in inches stands for.
func fromInches(v float64) []float64 {
	for _, known := range inchLengths {
		if math.Abs(v-known.inches) < 0.006 { // 0.31 and .313 are 5/16
			return known.mm
		}
	}
	return []float64{math.Round(v * mmPerInch)}
}

// nominal is the trade's length for one in millimetres: 12.7 and 13 mm are the same needle, half an inch long. Any
// other length stays as it is.
func nominal(mm float64) float64 {
	for _, known := range inchLengths {
		if len(known.mm) == 1 && math.Abs(mm-known.inches*mmPerInch) < 0.06 {
			return known.mm[0]
		}
	}
	return mm
}

// inMM returns the lengths in mm that q can be, none without a unit of length.
func inMM(q amount) []float64 {
	switch q.unit {
	case quantity.MM:
		return []float64{nominal(q.value)}
	case quantity.CM:
		return []float64{nominal(q.value * 10)}
	case quantity.Inch:
		return fromInches(q.value)
	}
	return nil
}

// readLengths collects the lengths.
func (s *scan) readLengths() {
	for i := range s.quantities {
		q := &s.quantities[i]
		if q.used {
			continue
		}
		options := inMM(*q)
		if options == nil {
			continue
		}
		if q.used = true; !s.isDiameter(*q) {
			s.addLength(*q, options)
		}
	}
	if len(s.lengths) == 0 && s.bad == "" && s.notANumber("mm cm inch inches") {
		s.bad = fmt.Sprintf("That length is no number: %d to %d mm are accepted.", shortestMM, longestMM)
	}
}

// addLength records a length, or that there is no such length: boxes have half millimetres at the finest.
func (s *scan) addLength(q amount, options []float64) {
	v := options[0]
	halves := q.unit == quantity.Inch || math.Abs(v*2-math.Round(v*2)) < 1e-9 || s.ix.listsLength(v)
	if q.negative || q.flaw || v < shortestMM || v > longestMM || !halves {
		s.bad = fmt.Sprintf("%s is no length that can be looked up: %d to %d mm are, or inches such as 1/2.",
			s.typed(q), shortestMM, longestMM)
		return
	}
	for i, have := range s.lengths {
		common := having(have.options, func(mm float64) bool { return slices.Contains(options, mm) })
		if len(common) > 0 {
			s.lengths[i].options = common
			return
		}
	}
	s.lengths = append(s.lengths, lengthRead{options})
}

// isDiameter reports whether q is the outer diameter that boxes print beside the gauge: "30G (0.3 mm)", "0.4 x 13 mm".
// Without another size in the text it is an impossible length.
func (s *scan) isDiameter(q amount) bool {
	if q.unit != quantity.MM || q.negative || !(q.value >= 0.1 && q.value < 1) {
		return false
	}
	return slices.ContainsFunc(s.quantities, func(other amount) bool {
		return other.from != q.from && other.value >= shortestMM && (isSize(other) || other.used)
	})
}
