package chart

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"

	"holdbench/internal/calc"
)

// look is how a verdict is told apart: a shade for its cell, a colour for what
// stands on it, and a shape drawn around (x, y) with radius r.
type look struct {
	verdict calc.Verdict
	shade   color.Color
	on      color.Color
	shape   func(s *sheet, x, y, r float64, c color.Color)
}

// looks lists the verdicts in the order of the legend. The disc is full, half
// or empty as much as shows by the ceiling; slow is an hourglass.
func looks() []look {
	return []look{
		{calc.ShowsInTime, color.RGBA{0x17, 0x49, 0x6E, 0xFF}, white, fullDisc},
		{calc.ShowsSometimes, color.RGBA{0x9F, 0xC6, 0xDF, 0xFF}, ink, halfDisc},
		{calc.TooSlow, color.RGBA{0xE6, 0xC1, 0x78, 0xFF}, ink, hourglass},
		{calc.NotExpected, color.RGBA{0xC6, 0xB5, 0xA4, 0xFF}, ink, emptyDisc},
		{calc.NotSettled, white, ink, questionMark},
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

func fullDisc(s *sheet, x, y, r float64, c color.Color) { s.disc(x, y, r, c) }

func halfDisc(s *sheet, x, y, r float64, c color.Color) {
	var p vg.Path
	p.Move(s.point(spot{x, y + r}))
	p.Arc(s.point(spot{x, y}), vg.Length(r), -math.Pi/2, -math.Pi)
	p.Close()
	s.canvas.SetColor(c)
	s.canvas.Fill(p)
	emptyDisc(s, x, y, r, c)
}

func emptyDisc(s *sheet, x, y, r float64, c color.Color) {
	s.ring(x, y, r, stroke{colour: c, width: vg.Length(r / 3.2)})
}

func hourglass(s *sheet, x, y, r float64, c color.Color) {
	w := 0.85 * r
	s.fill(c, spot{x - w, y - r}, spot{x + w, y - r}, spot{x, y})
	s.fill(c, spot{x - w, y + r}, spot{x + w, y + r}, spot{x, y})
}

func questionMark(s *sheet, x, y, r float64, c color.Color) {
	l := letter{size: 2.6 * r, bold: true, colour: c}
	s.text(x, y+0.36*l.size, "?", l, centred)
}

// untestedFrame is the sign of what nobody has tested: a dashed box with nothing in it.
func untestedFrame(s *sheet, x, y, w, h float64) {
	s.frame(x, y, w, h, stroke{colour: tested, width: 6, dash: []vg.Length{12, 7}})
}
