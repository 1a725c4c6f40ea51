package chart

import (
	"fmt"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/say"
)

// Mine is one member's sheet: each combination that they stock with its hold, with why there is
// none, or that nobody has tested it. It has the shape of A6 paper, for a phone or to be printed.
type Mine struct {
	Group   string
	Day     string // of the tests that it stands on
	Ceiling float64
	PullML  float64
	Rows    []MineRow // in the order in which they stand
	Notes   []string  // said under the rows
	Dark    bool      // on dark paper
}

// MineRow is one combination, or several of one gel that have the same answer.
type MineRow struct {
	Product, Setup string
	State          calc.State
	Hold           int    // whole seconds; 0 where none is advised
	Why            string // what the hold stands on, or why there is none; "" where the state says it
}

// A6 paper (ISO 216: 105 mm by 148 mm), and how many pixels of a sheet lie on a metre
// of it: 261 to the inch, which prints sharp.
const (
	paperWidth   = 0.105 // metres
	mineHeight   = sheetWidth * 148 / 105
	minePerMetre = sheetWidth / paperWidth
)

// The parts of a row, in pixels.
const (
	mineTile = 62.0
	mineText = margin + mineTile + 20
	mineSkip = 16.0 // between rows
)

// Pages returns how many sheets it takes, at least 1.
func (m Mine) Pages() int { return len(m.cuts()) - 1 }

// Span returns the first row of a page that is there and the one after its last.
func (m Mine) Span(page int) (from, to int) {
	cuts := m.cuts()
	return cuts[page-1], cuts[page]
}

// Draw returns one sheet, counted from 1.
//
// Errors: *calc.RangeError for a page that is not there or a figure outside its
// domain; others for a word that is no state and for a hold in another state than StateHold.
func (m Mine) Draw(page int) (Picture, error) {
	if err := m.check(page); err != nil {
		return Picture{}, fmt.Errorf("sheet of a member: %w", err)
	}
	blocks := m.heading(m.Standing(page))
	from, to := m.Span(page)
	for _, row := range m.Rows[from:to] {
		blocks = append(blocks, row.block())
	}
	blocks = append(blocks, m.notes()...)
	foot := caveats()
	blank := gap(max(0, mineHeight-2*margin-heights(blocks)-foot.height))
	p, err := compose(m.Dark, append(blocks, blank, foot)...).finish(m.alt(page))
	p.PNG = printedAt(p.PNG, minePerMetre)
	return p, err
}

func (m Mine) check(page int) error {
	if err := inRange("ceiling", m.Ceiling, 0.1, longestDrawn); err != nil {
		return err
	}
	for _, row := range m.Rows {
		if _, err := lookOf(row.State); err != nil && row.State != calc.StateUntested {
			return err
		}
		if err := inRange("hold", float64(row.Hold), 0, m.Ceiling); err != nil {
			return err
		}
		if (row.Hold > 0) != (row.State == calc.StateHold) {
			return fmt.Errorf("a hold of %d s in the state %q", row.Hold, row.State)
		}
	}
	return checkPage(page, m.Pages())
}

// heading is what stands above the rows of a sheet, the standing on one line.
func (m Mine) heading(standing string) []block {
	title := words("My sheet", titleLetter, 1)
	draw := title.draw
	title.draw = func(s *sheet, y float64) {
		draw(s, y)
		s.text(sheetWidth-margin, y+0.82*lineHeight(titleLetter), m.Day, verdictLetter, fromRight)
	}
	return []block{title, words(tidy(m.Group), textLetter, 1), words(standing, quietLetter, 1), gap(mineSkip)}
}

// notes are the layers under the rows.
func (m Mine) notes() (blocks []block) {
	for _, note := range m.Notes {
		blocks = append(blocks, words(note, quietLetter, 2))
	}
	return blocks
}

// Standing says what the sheet's holds are for, and which of several sheets it is.
func (m Mine) Standing(page int) string {
	words := fmt.Sprintf("At %s mL pull, up to %s. A new test may change it.", say.Number(m.PullML),
		secondsWords(m.Ceiling))
	if of := m.Pages(); of > 1 {
		words = fmt.Sprintf("Sheet %d of %d. ", page, of) + words
	}
	return words
}

// cuts returns the row that each sheet begins with, and the end of the last: as many rows on each as
// fit.
func (m Mine) cuts() []int {
	room := mineHeight - 2*margin - heights(m.heading("which sheet")) - heights(m.notes()) -
		caveats().height
	cuts, used := []int{0}, 0.0
	for i, row := range m.Rows {
		height := row.block().height
		if used += height; used > room && i > cuts[len(cuts)-1] {
			cuts, used = append(cuts, i), height
		}
	}
	return append(cuts, len(m.Rows))
}

// Verdict is the row in a word or two.
func (r MineRow) Verdict() string {
	switch r.State {
	case calc.StateHold:
		return fmt.Sprintf("HOLD %d s", r.Hold)
	case calc.StateUntested:
		return untestedWord
	}
	return "NO HOLD"
}

// block is the layer of the row: mark, product and verdict, and under them the set-up and why.
func (r MineRow) block() block {
	verdict, foot := strongLetter, lineHeight(strongLetter)-0.3*labelSize
	if r.State == calc.StateHold {
		verdict, foot = verdictLetter, foot+7
	}
	right := sheetWidth - margin
	name := strongLetter.ends(tidy(r.Product), right-mineText-verdict.width(r.Verdict())-20)
	under := quietLetter.wrap(r.under(), right-mineText, 3)
	height := float64(len(name))*lineHeight(strongLetter) + float64(len(under))*lineHeight(quietLetter)
	return block{
		height: max(height, mineTile) + mineSkip,
		draw: func(s *sheet, y float64) {
			r.drawTile(s, y+(height-mineTile)/2)
			s.text(right, y+foot, r.Verdict(), verdict, fromRight)
			s.paragraph(mineText, s.paragraph(mineText, y, name, strongLetter), under, quietLetter)
			s.lines(gridStroke, spot{margin, y + height + mineSkip/2}, spot{right, y + height + mineSkip/2})
		},
	}
}

func (r MineRow) under() string {
	if r.Why == "" {
		return tidy(r.Setup)
	}
	return tidy(r.Setup) + " · " + r.Why
}

func (r MineRow) drawTile(s *sheet, y float64) {
	if r.State == calc.StateUntested {
		untestedFrame(s, margin, y, mineTile, mineTile)
		return
	}
	if v, err := lookOf(r.State); err == nil { // check has looked
		v.markedTile(s, margin, y, mineTile, mineTile, 0.3*mineTile)
	}
}

// alt says the sheet in words.
func (m Mine) alt(page int) string {
	said := []string{fmt.Sprintf("Sheet of what a member of %s stocks, %s. %s", cut(tidy(m.Group), 100), m.Day,
		m.Standing(page))}
	from, to := m.Span(page)
	for _, row := range m.Rows[from:to] {
		said = append(said, fmt.Sprintf("%s, %s: %s.", cut(tidy(row.Product), 40), cut(tidy(row.Setup), 60),
			strings.TrimSuffix(row.Verdict()+", "+row.Why, ", ")))
	}
	return withCaveats(strings.Join(append(said, m.Notes...), " "))
}
