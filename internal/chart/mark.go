package chart

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"

	"holdbench/internal/calc"
)

// look is how a verdict is told apart: a shade for its cell, a colour for what
// stands on it, and a shape drawn around (x, y) with radius r.
type look struct {
	verdict calc.Verdict
	shade   hue
	on      hue
	shape   func(s *sheet, x, y, r float64, c hue)
}

// looks lists the verdicts in the order of the legend. The disc is full, half
// or empty as much as shows by the ceiling; slow is an hourglass.
func looks() []look {
	return []look{
		{calc.ShowsInTime, showsShade, showsOn, fullDisc},
		{calc.ShowsSometimes, sometimesShade, sometimesOn, halfDisc},
		{calc.TooSlow, slowShade, slowOn, hourglass},
		{calc.NotExpected, notExpectedShade, notExpectedOn, emptyDisc},
		{calc.NotSettled, notSettledShade, notSettledOn, questionMark},
	}
}

// lookOf returns the look of a verdict, an error for a word that is none.
func lookOf(v calc.Verdict) (look, error) {
	for _, l := range looks() {
		if l.verdict == v {
			return l, nil
		}
	}
	return look{}, fmt.Errorf("%q is not a verdict", v)
}

func fullDisc(s *sheet, x, y, r float64, c hue) { s.disc(x, y, r, c) }

func halfDisc(s *sheet, x, y, r float64, c hue) {
	var p vg.Path
	p.Move(s.point(spot{x, y + r}))
	p.Arc(s.point(spot{x, y}), vg.Length(r), -math.Pi/2, -math.Pi)
	p.Close()
	s.canvas.SetColor(s.scheme[c])
	s.canvas.Fill(p)
	emptyDisc(s, x, y, r, c)
}

func emptyDisc(s *sheet, x, y, r float64, c hue) {
	s.ring(x, y, r, stroke{colour: c, width: vg.Length(r / 3.2)})
}

func hourglass(s *sheet, x, y, r float64, c hue) {
	w := 0.85 * r
	s.fill(c, spot{x - w, y - r}, spot{x + w, y - r}, spot{x, y})
	s.fill(c, spot{x - w, y + r}, spot{x + w, y + r}, spot{x, y})
}

func questionMark(s *sheet, x, y, r float64, c hue) {
	l := letter{size: 2.6 * r, bold: true, colour: c}
	s.text(x, y+0.36*l.size, "?", l, centred)
}

// untestedFrame is the sign of what nobody has tested: a dashed box with nothing in it.
func untestedFrame(s *sheet, x, y, w, h float64) {
	s.frame(x, y, w, h, stroke{colour: tested, width: 6, dash: []vg.Length{12, 7}})
}
