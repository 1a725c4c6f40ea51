package chart

import (
	"cmp"
	"fmt"
	"math"

	"holdbench/internal/calc"
	"holdbench/internal/say"
)

// Coverage is what a group has tested: its products by its needles and cannulas.
type Coverage struct {
	Group       string
	Ceiling     float64 // seconds, of the states
	Products    []string
	Instruments []Instrument
	Cells       []Cell // one for each combination that was tested or is in stock, in any order
	Dark        bool   // on dark paper
}

// Instrument is one needle or cannula, with its syringe where that is not the supplied one.
type Instrument struct {
	Cannula  bool
	Gauge    int
	LengthMM float64
	Note     string // what sets it apart, if anything: "ultra-thin wall", "fixed-needle 0.3 mL"
}

// Cell is one combination.
type Cell struct {
	Product, Instrument int        // places in the lists of Coverage
	Tests               int        // kept tests; 0: untested, whatever the state
	State               calc.State // of a tested combination
	Holders             int        // members who have it in stock
}

// The most products and instruments on one page. With more, the numbers can no longer be read on a
// phone at arm's length (tried at a third of the size).
const (
	mostRows    = 15
	mostColumns = 12
)

// Pages returns how many pages the picture has, at least 1.
func (c Coverage) Pages() int {
	return newPages(len(c.Products), mostRows).count * newPages(len(c.Instruments), mostColumns).count
}

// Draw returns one page, counted from 1: first all needles and cannulas of the first products, page
// by page, needles before cannulas. Each page says what is on the others. A group with no
// products or no instruments gets a picture that says so.
//
// Errors: *calc.RangeError for a page that is not there, and for a cell outside the lists, given
// twice or with a negative number; others for a state that no tested combination has.
func (c Coverage) Draw(page int) (Picture, error) {
	if err := checkPage(page, c.Pages()); err != nil {
		return Picture{}, fmt.Errorf("coverage: %w", err)
	}
	p := c.page(page)
	var err error
	if p.cells, err = c.byPlace(); err != nil {
		return Picture{}, fmt.Errorf("coverage: %w", err)
	}
	blocks := []block{words("Coverage", titleLetter, 1), words(tidy(c.Group), textLetter, 2), gap(12)}
	if len(c.Products) == 0 || len(c.Instruments) == 0 {
		return compose(c.Dark, append(blocks, words(c.emptyWords(), textLetter, 3))...).finish(c.emptyWords())
	}
	for _, line := range p.summary() {
		blocks = append(blocks, words(line, textLetter, 2))
	}
	if c.Pages() > 1 {
		blocks = append(blocks, words(p.pageWords(), labelLetter.in(quiet), 3))
	}
	blocks = append(blocks, gap(14), p.grid(), gap(14), legend(p.keys()))
	for _, note := range p.notes() {
		blocks = append(blocks, words(note, labelLetter, 1))
	}
	return compose(c.Dark, append(blocks, caveats())...).finish(p.alt())
}

// place is where a cell lies in the lists of Coverage.
type place struct{ product, instrument int }

// byPlace checks the cells and returns them by their place.
func (c Coverage) byPlace() (map[place]Cell, error) {
	if err := inRange("ceiling", c.Ceiling, 0.1, longestDrawn); err != nil {
		return nil, err
	}
	m := make(map[place]Cell, len(c.Cells))
	for _, cell := range c.Cells {
		err := cmp.Or(inRange("product of a cell", float64(cell.Product), 0, float64(len(c.Products)-1)),
			inRange("instrument of a cell", float64(cell.Instrument), 0, float64(len(c.Instruments)-1)),
			inRange("tests", float64(cell.Tests), 0, math.MaxInt32),
			inRange("holders", float64(cell.Holders), 0, math.MaxInt32))
		if err != nil {
			return nil, err
		}
		if _, err := lookOf(cell.State); err != nil && cell.Tests > 0 {
			return nil, err
		}
		at := place{cell.Product, cell.Instrument}
		if _, twice := m[at]; twice {
			return nil, fmt.Errorf("product %d with instrument %d is given twice", cell.Product, cell.Instrument)
		}
		m[at] = cell
	}
	return m, nil
}

// needlesFirst returns the places of the instruments: needles before cannulas, and otherwise in
// the order given.
func needlesFirst(all []Instrument) []int {
	var needles, cannulas []int
	for i, instrument := range all {
		if instrument.Cannula {
			cannulas = append(cannulas, i)
		} else {
			needles = append(needles, i)
		}
	}
	return append(needles, cannulas...)
}

// name returns the instrument as the trade writes it.
func (i Instrument) name() string {
	kind := "needle"
	if i.Cannula {
		kind = "cannula"
	}
	name := fmt.Sprintf("%dG %s mm %s", i.Gauge, say.Number(i.LengthMM), kind)
	if i.Note != "" {
		name += ", " + tidy(i.Note)
	}
	return name
}

// OnPage returns what a page that is there shows, in its order: the places of its products, and of
// its needles and cannulas.
func (c Coverage) OnPage(page int) (products, instruments []int) {
	p := c.page(page)
	for row := p.fromRow; row < p.toRow; row++ {
		products = append(products, row)
	}
	return products, p.shownColumns()
}
