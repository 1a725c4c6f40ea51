package chart

import (
	"math"
	"strconv"

	"holdbench/internal/say"
)

// coveragePage is one page of the coverage.
type coveragePage struct {
	Coverage
	cells                map[place]Cell
	number               int   // of the page, from 1
	columns              []int // places of the instruments, needles first
	fromRow, toRow       int   // products on the page
	fromColumn, toColumn int   // of columns
}

// page returns a page that is there, counted from 1, without its cells.
func (c Coverage) page(number int) coveragePage {
	p := coveragePage{Coverage: c, number: number, columns: needlesFirst(c.Instruments)}
	rows, columns := newPages(len(c.Products), mostRows), newPages(len(p.columns), mostColumns)
	p.fromRow, p.toRow = rows.span((number - 1) / columns.count)
	p.fromColumn, p.toColumn = columns.span((number - 1) % columns.count)
	return p
}

// The parts of the grid, in pixels.
const (
	nameWidth    = 262.0
	cellHeight   = 80.0
	widestCell   = 150.0
	kindGap      = 16.0 // between needles and cannulas
	headHeight   = 138.0
	headWithNote = 172.0
	markRadius   = 15.0
)

// shownColumns returns the places of the instruments on the page.
func (p coveragePage) shownColumns() []int { return p.columns[p.fromColumn:p.toColumn] }

// gridLayout is where the cells of a page lie.
type gridLayout struct {
	lefts []float64 // of the columns
	width float64   // of a cell
	head  float64
}

// layout shares the width of the picture out among the columns.
func (p coveragePage) layout() gridLayout {
	columns := p.shownColumns()
	g := gridLayout{head: headHeight}
	if len(p.noteLetters()) > 0 {
		g.head = headWithNote
	}
	gaps := 0.0
	for i := range columns {
		if p.kindBegins(i) {
			gaps = kindGap
		}
	}
	g.width = min(widestCell, math.Floor((innerWidth-nameWidth-gaps)/float64(len(columns))))
	x := margin + nameWidth
	for i := range columns {
		if p.kindBegins(i) {
			x += kindGap
		}
		g.lefts = append(g.lefts, x)
		x += g.width
	}
	return g
}

// kindBegins reports whether the i-th column has the first cannula after the needles.
func (p coveragePage) kindBegins(i int) bool {
	columns := p.shownColumns()
	return i > 0 && p.Instruments[columns[i]].Cannula != p.Instruments[columns[i-1]].Cannula
}

// grid is the layer with the cells, their head and the names.
func (p coveragePage) grid() block {
	g := p.layout()
	return block{
		height: g.head + float64(p.toRow-p.fromRow)*cellHeight,
		draw: func(s *sheet, y float64) {
			p.drawHead(s, g, y)
			for row := p.fromRow; row < p.toRow; row++ {
				top := y + g.head + float64(row-p.fromRow)*cellHeight
				s.drawName(tidy(p.Products[row]), margin, top, nameWidth-14, cellHeight)
				for i, column := range p.shownColumns() {
					s.drawCell(p.cells[place{row, column}], g.lefts[i]+2, top+2, g.width-4, cellHeight-4)
				}
			}
		},
	}
}

// drawHead writes the head of the columns: the kind, then gauge, length and the letter of the note.
func (p coveragePage) drawHead(s *sheet, g gridLayout, y float64) {
	s.text(margin, y+82, "gauge", labelLetter.in(quiet), fromLeft)
	s.text(margin, y+124, "length, mm", labelLetter.in(quiet), fromLeft)
	letters := p.noteLetters()
	for i, column := range p.shownColumns() {
		instrument := p.Instruments[column]
		mid := g.lefts[i] + g.width/2
		s.text(mid, y+82, strconv.Itoa(instrument.Gauge), strongLetter, centred)
		s.text(mid, y+124, labelLetter.fit(say.Number(instrument.LengthMM), g.width), labelLetter, centred)
		s.text(mid, y+160, letters[tidy(instrument.Note)], strongLetter.sized(smallSize), centred)
		if i == 0 || p.kindBegins(i) {
			p.drawKind(s, g, i, y)
		}
	}
}

// drawKind writes the kind over the columns that share it, with a line under it. The cannulas stand
// last and may be too few for their word; then it ends where their columns end.
func (p coveragePage) drawKind(s *sheet, g gridLayout, first int, y float64) {
	columns := p.shownColumns()
	last := first
	for last+1 < len(columns) && !p.kindBegins(last+1) {
		last++
	}
	left, right := g.lefts[first]+4, g.lefts[last]+g.width-4
	s.lines(axisStroke, spot{left, y + 46}, spot{right, y + 46})
	if !p.Instruments[columns[first]].Cannula {
		s.text(left, y+34, "needles", labelLetter, fromLeft)
		return
	}
	if wide := labelLetter.width("cannulas"); first == 0 || right-left >= wide {
		s.text(left, y+34, "cannulas", labelLetter, fromLeft)
		return
	}
	s.text(right, y+34, "cannulas", labelLetter, fromRight)
}

// drawName writes a product's name in the height of its row: on one line, or smaller on two.
func (s *sheet) drawName(name string, x, y, width, height float64) {
	if labelLetter.width(name) <= width {
		s.textMid(x, y+height/2, name, labelLetter, fromLeft)
		return
	}
	small := labelLetter.sized(smallSize)
	lines := small.ends(name, width)
	for i, line := range lines {
		middle := y + height/2 + (float64(i)-float64(len(lines)-1)/2)*(smallSize+4)
		s.textMid(x, middle, line, small, fromLeft)
	}
}
