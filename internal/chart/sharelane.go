package chart

import "slices"

// The lane of single tests under the plot, in pixels.
const (
	lanePad    = 34.0
	lanePitch  = 30.0
	laneRows   = 7
	dotRadius  = 11.0
	arrowReach = 48.0
)

// placedTest is a test with its row in the lane.
type placedTest struct {
	TestMark
	row int
}

// placeTests puts every test in the first row of the lane where it touches no other, and returns the
// number of rows. In a full lane tests overlap.
func (p *sharePlot) placeTests() int {
	var ends []float64
	for _, t := range sortedByTime(p.Tests) {
		x := p.time.x(t.Seconds)
		row := 0
		for row < len(ends) && ends[row] > x-dotRadius-3 {
			row++
		}
		if row == laneRows {
			row = slices.Index(ends, slices.Min(ends))
		} else if row == len(ends) {
			ends = append(ends, 0)
		}
		ends[row] = x + dotRadius
		if t.None {
			ends[row] = x + arrowReach
		}
		p.placed = append(p.placed, placedTest{t, row})
	}
	return len(ends)
}

// drawTests draws the single tests in their lane.
func (p sharePlot) drawTests(s *sheet) {
	first := p.bottom + lanePad
	if p.untested() {
		s.textMid((plotLeft+plotRight)/2, first, "no tests", strongLetter.in(tested), centred)
		return
	}
	label := "tests"
	if len(p.placed) == 1 {
		label = "1 test"
	}
	s.textMid(plotLeft-18, (p.bottom+p.laneBottom)/2, label, labelLetter, fromRight)
	for _, t := range p.placed {
		drawTest(s, p.time.x(t.Seconds), first+float64(t.row)*lanePitch, t.TestMark)
	}
}

// drawTest draws one test at its time: a dot, or an arrow onwards where nothing showed. Where the
// test may be mistyped, or does not fit the others, a ring takes the place of the dot.
func drawTest(s *sheet, x, y float64, t TestMark) {
	line := stroke{colour: tested, width: 5}
	if t.None {
		s.lines(line, spot{x, y - dotRadius}, spot{x, y + dotRadius})
		s.lines(line, spot{x, y}, spot{x + arrowReach - 16, y})
		s.fill(tested, spot{x + arrowReach - 20, y - dotRadius}, spot{x + arrowReach, y},
			spot{x + arrowReach - 20, y + dotRadius})
	}
	switch {
	case t.Slip:
		s.disc(x, y, dotRadius, lane)
		s.ring(x, y, dotRadius, line)
	case !t.None:
		s.disc(x, y, dotRadius, tested)
	}
}

// keys returns the entries of the legend: only what the picture holds.
func (c ShareByTime) keys() []key {
	var keys []key
	if !c.untested() {
		keys = append(keys, key{64, stepSign, "share in tests"})
	}
	if len(c.Estimate) > 0 {
		keys = append(keys, c.estimateKey())
	}
	if slices.ContainsFunc(c.Tests, func(t TestMark) bool { return !t.None && !t.Slip }) {
		keys = append(keys, testKey(TestMark{}, 2*dotRadius, "one test"))
	}
	if slices.ContainsFunc(c.Tests, func(t TestMark) bool { return t.None }) {
		keys = append(keys, testKey(TestMark{None: true}, arrowReach+dotRadius, "none while watched"))
	}
	if slices.ContainsFunc(c.Tests, func(t TestMark) bool { return t.Slip }) {
		keys = append(keys, testKey(TestMark{Slip: true}, 2*dotRadius, "does not fit the others"))
	}
	return keys
}

func testKey(t TestMark, width float64, words string) key {
	return key{width, func(s *sheet, x, y float64) { drawTest(s, x+dotRadius, y, t) }, words}
}

// stepSign is the sign of the tests' curve.
func stepSign(s *sheet, x, y float64) {
	s.lines(testsStroke, spot{x, y + 14}, spot{x + 32, y + 14}, spot{x + 32, y - 14}, spot{x + 64, y - 14})
}

// estimateKey is the sign of the estimate: band and curve, or stripes and dashes.
func (c ShareByTime) estimateKey() key {
	if c.untested() {
		return key{90, func(s *sheet, x, y float64) {
			for at := x + 3; at < x+90; at += 18 {
				s.lines(stroke{colour: computedBand, width: 6}, spot{at, y - 20}, spot{at, y + 20})
			}
			s.lines(untestedStroke, spot{x, y}, spot{x + 90, y})
		}, "calculated; stripes: 8 in 10 sure"}
	}
	return key{64, func(s *sheet, x, y float64) {
		s.box(x, y-20, 64, 40, computedBand)
		s.lines(estimateStroke, spot{x, y}, spot{x + 64, y})
	}, "estimate; band: 8 in 10 sure"}
}
