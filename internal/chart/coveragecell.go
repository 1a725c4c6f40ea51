package chart

import "strconv"

// drawCell draws one combination: the state's mark and the number of tests on its shade; a dashed
// box where it is in stock and nobody has tested it; otherwise a faint outline.
func (s *sheet) drawCell(c Cell, x, y, w, h float64) {
	mid := x + w/2
	if c.Tests == 0 {
		if c.Holders == 0 {
			s.frame(x, y, w, h, stroke{colour: grid, width: 2})
			return
		}
		stockedCell(s, x, y, w, h)
		s.text(mid, y+h/2+0.36*labelSize, "0", strongLetter.in(tested), centred)
		return
	}
	v, err := lookOf(c.State)
	if err != nil {
		return // cannot be: byPlace has looked
	}
	v.tile(s, x, y, w, h)
	v.mark(s, mid, y+25, markRadius, v.on)
	l := strongLetter.sized(smallSize).in(v.on)
	s.text(mid, y+h-9, l.fit(strconv.Itoa(c.Tests), w-2), l, centred)
}

// stockedCell draws the cell of what is in stock and untested: shaded, with a dashed frame.
func stockedCell(s *sheet, x, y, w, h float64) {
	s.box(x, y, w, h, testedBed)
	untestedFrame(s, x, y, w, h)
}

// keys returns the entries of the legend: only what the page holds.
func (p coveragePage) keys() []key {
	const w, h = 44.0, 42.0
	var keys []key
	c := counted(p.onPage())
	for _, v := range looks() {
		if c.states[v.State] > 0 {
			sign := func(s *sheet, x, y float64) { v.markedTile(s, x, y-h/2, w, h, markRadius) }
			keys = append(keys, key{w, sign, v.Short})
		}
	}
	if c.stocked > 0 {
		keys = append(keys, key{w, func(s *sheet, x, y float64) {
			stockedCell(s, x, y-h/2, w, h)
			l := strongLetter.sized(smallSize).in(tested)
			s.text(x+w/2, y+0.36*smallSize, "0", l, centred)
		}, "in stock, untested"})
	}
	if c.blank > 0 {
		frame := func(s *sheet, x, y float64) { s.frame(x, y-h/2, w, h, stroke{colour: grid, width: 2}) }
		keys = append(keys, key{w, frame, "untested"})
	}
	if c.tested > 0 {
		keys = append(keys, key{strongLetter.width("7"),
			func(s *sheet, x, y float64) { s.textMid(x, y, "7", strongLetter, fromLeft) },
			"number of tests"})
	}
	return keys
}
