package chart

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"

	"holdbench/internal/calc"
	"holdbench/internal/say"
)

// look is how a state looks: the shade of its cell, the colour of what stands on it, and its mark,
// drawn around (x, y) with radius r.
type look struct {
	say.Standing
	shade hue
	on    hue
	mark  func(s *sheet, x, y, r float64, c hue)
}

// looks lists the states of tested combinations, in the order of the legend. The disc is full, half
// or empty as much as shows by the ceiling; slow is an hourglass; a state with too few tests has a
// small mark on white.
func looks() []look {
	var all []look
	for _, s := range say.Standings() {
		if mark, drawn := marks[s.Mark]; drawn {
			c := cellColours[s.Colour]
			all = append(all, look{s, c.shade, c.on, mark})
		}
	}
	return all
}

// marks draw the marks of say. The dashed box of what is untested is untestedFrame.
var marks = map[say.Mark]func(s *sheet, x, y, r float64, c hue){
	say.FullDisc: fullDisc, say.RingedDot: ringedDot, say.HalfDisc: halfDisc, say.Hourglass: hourglass,
	say.EmptyRing: emptyDisc, say.QuestionMark: questionMark, say.SmallDot: smallDot, say.ShortStroke: shortStroke,
	say.OpenSquare: openSquare, say.Triangle: triangle, say.Upturned: upturned,
}

// cellColours are the hues of a cell, and of what stands on it.
var cellColours = map[say.Colour]struct{ shade, on hue }{
	say.DeepBlue: {deepBlue, deepBlueOn}, say.PaleBlue: {paleBlue, paleBlueOn}, say.Ochre: {ochre, ochreOn},
	say.Clay: {clay, clayOn}, say.Blank: {blank, blankOn}, say.Rust: {rust, rustOn},
}

// lookOf returns the look of a tested combination's state, and an error for any other word.
func lookOf(state calc.State) (look, error) {
	for _, l := range looks() {
		if l.State == state {
			return l, nil
		}
	}
	return look{}, fmt.Errorf("%q is no state of a tested combination", state)
}

// tile draws the cell of the state without its mark.
func (l look) tile(s *sheet, x, y, w, h float64) {
	s.box(x, y, w, h, l.shade)
	s.frame(x, y, w, h, stroke{colour: quiet, width: 2})
}

// markedTile draws the cell of the state with its mark in the middle.
func (l look) markedTile(s *sheet, x, y, w, h, radius float64) {
	l.tile(s, x, y, w, h)
	l.mark(s, x+w/2, y+h/2, radius, l.on)
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

func ringedDot(s *sheet, x, y, r float64, c hue) {
	emptyDisc(s, x, y, r, c)
	s.disc(x, y, 0.5*r, c)
}

func smallDot(s *sheet, x, y, r float64, c hue) { s.disc(x, y, 0.4*r, c) }

func shortStroke(s *sheet, x, y, r float64, c hue) { s.box(x-0.2*r, y-r, 0.4*r, 2*r, c) }

func openSquare(s *sheet, x, y, r float64, c hue) {
	s.frame(x-0.8*r, y-0.8*r, 1.6*r, 1.6*r, stroke{colour: c, width: vg.Length(r / 3.2)})
}

func triangle(s *sheet, x, y, r float64, c hue) {
	s.fill(c, spot{x, y - r}, spot{x + r, y + 0.8*r}, spot{x - r, y + 0.8*r})
}

func upturned(s *sheet, x, y, r float64, c hue) {
	s.fill(c, spot{x, y + r}, spot{x + r, y - 0.8*r}, spot{x - r, y - 0.8*r})
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
