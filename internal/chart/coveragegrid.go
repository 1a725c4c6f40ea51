package chart

import (
	"math"
	"strconv"
)

// coverageTable is one page of the coverage.
type coverageTable struct {
	Coverage
	cells                map[place]Cell
	columns              []int // places of the instruments as they stand
	fromRow, toRow       int   // products on the page
	fromColumn, toColumn int   // of columns
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

// cutPage sets what stands on a page.
func (t *coverageTable) cutPage(page int) {
	rows, columns := newPages(len(t.Products), mostRows), newPages(len(t.columns), mostColumns)
	t.fromRow, t.toRow = rows.span((page - 1) / columns.count)
	t.fromColumn, t.toColumn = columns.span((page - 1) % columns.count)
}

// shownColumns are the places of the instruments on the page.
func (t coverageTable) shownColumns() []int { return t.columns[t.fromColumn:t.toColumn] }

// gridLayout is where the cells of a page lie.
type gridLayout struct {
	lefts []float64 // of the columns
	width float64   // of a cell
	head  float64
}

// layout shares the width out among the columns.
func (t coverageTable) layout() gridLayout {
	columns := t.shownColumns()
	g := gridLayout{head: headHeight}
	if len(t.noteLetters()) > 0 {
		g.head = headWithNote
	}
	gaps := 0.0
	for i := range columns {
		if t.kindBegins(i) {
			gaps = kindGap
		}
	}
	g.width = min(widestCell, math.Floor((innerWidth-nameWidth-gaps)/float64(len(columns))))
	x := margin + nameWidth
	for i := range columns {
		if t.kindBegins(i) {
			x += kindGap
		}
		g.lefts = append(g.lefts, x)
		x += g.width
	}
	return g
}

// kindBegins tells whether the first cannula after a needle stands there.
func (t coverageTable) kindBegins(i int) bool {
	columns := t.shownColumns()
	return i > 0 && t.Instruments[columns[i]].Cannula != t.Instruments[columns[i-1]].Cannula
}

// grid is the layer with the cells, their head and the names.
func (t coverageTable) grid() block {
	g := t.layout()
	return block{
		height: g.head + float64(t.toRow-t.fromRow)*cellHeight,
		draw: func(s *sheet, y float64) {
			t.drawHead(s, g, y)
			for row := t.fromRow; row < t.toRow; row++ {
				top := y + g.head + float64(row-t.fromRow)*cellHeight
				s.drawName(tidy(t.Products[row]), margin, top, nameWidth-14, cellHeight)
				for i, column := range t.shownColumns() {
					s.drawCell(t.cells[place{row, column}], g.lefts[i]+2, top+2, g.width-4, cellHeight-4)
				}
			}
		},
	}
}

// drawHead names the columns: kind above, then gauge, length and note.
func (t coverageTable) drawHead(s *sheet, g gridLayout, y float64) {
	s.text(margin, y+82, "gauge", labelLetter.in(quiet), fromLeft)
	s.text(margin, y+124, "length, mm", labelLetter.in(quiet), fromLeft)
	letters := t.noteLetters()
	for i, column := range t.shownColumns() {
		instrument := t.Instruments[column]
		mid := g.lefts[i] + g.width/2
		s.text(mid, y+82, strconv.Itoa(instrument.Gauge), strongLetter, centred)
		s.text(mid, y+124, labelLetter.fit(trimmed(instrument.LengthMM), g.width), labelLetter, centred)
		s.text(mid, y+160, letters[tidy(instrument.Note)], strongLetter.sized(smallSize), centred)
		if i == 0 || t.kindBegins(i) {
			t.drawKind(s, g, i, y)
		}
	}
}

// drawKind writes the kind over the columns that share it, and a line under it.
// Cannulas are few and stand last: their word ends with their columns.
func (t coverageTable) drawKind(s *sheet, g gridLayout, first int, y float64) {
	columns := t.shownColumns()
	last := first
	for last+1 < len(columns) && !t.kindBegins(last+1) {
		last++
	}
	left, right := g.lefts[first]+4, g.lefts[last]+g.width-4
	s.lines(axisStroke, spot{left, y + 46}, spot{right, y + 46})
	if !t.Instruments[columns[first]].Cannula {
		s.text(left, y+34, "needles", labelLetter, fromLeft)
		return
	}
	if wide := labelLetter.width("cannulas"); first == 0 || right-left >= wide {
		s.text(left, y+34, "cannulas", labelLetter, fromLeft)
		return
	}
	s.text(right, y+34, "cannulas", labelLetter, fromRight)
}

// drawName writes a product's name in the height of its row: on one line, or
// smaller on two.
func (s *sheet) drawName(name string, x, y, width, height float64) {
	if labelLetter.width(name) <= width {
		s.text(x, y+height/2+0.34*labelSize, name, labelLetter, fromLeft)
		return
	}
	small := labelLetter.sized(smallSize)
	lines := small.ends(name, width)
	for i, line := range lines {
		middle := y + height/2 + (float64(i)-float64(len(lines)-1)/2)*(smallSize+4)
		s.text(x, middle+0.34*smallSize, line, small, fromLeft)
	}
}
