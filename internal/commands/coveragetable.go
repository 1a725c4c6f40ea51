package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/chart"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

// coverageTable is the group's coverage in rows and columns, for the picture and for the words beside it.
type coverageTable struct {
	picture     chart.Coverage
	products    []coveredProduct
	instruments []usedInstrument
	cells       map[[2]int]chart.Cell // by row and column
}

// usedInstrument is a needle or cannula with the syringe it is used on.
type usedInstrument struct {
	instrument trade.Instrument
	syringe    trade.Syringe
}

// note is what distinguishes it beside gauge and length: wall class and syringe, where unusual.
func (u usedInstrument) note() string {
	wall := ""
	if w := u.instrument.Wall; w != "" && w != calc.AssumedWall {
		wall = string(w) + " wall"
	}
	return joinNonEmpty(", ", wall, u.ownSyringe())
}

// ownSyringe is the name of its syringe, "" for the one supplied with the gel.
func (u usedInstrument) ownSyringe() string {
	return strings.TrimPrefix(u.syringe.Name, trade.Supplied)
}

// name is short enough for a list: "30G 13 mm", "25G 38 mm cannula".
func (u usedInstrument) name() string {
	name := strings.TrimSuffix(u.instrument.Name(), " "+string(trade.Needle))
	return joinNonEmpty(" ", name, u.ownSyringe())
}

// newCoverageTable lays the combinations out: gels by the number of their tests, needles before cannulas, both by gauge
// and length.
func newCoverageTable(covered []knowledge.CoveredCombination, settings knowledge.Settings) coverageTable {
	t := coverageTable{cells: map[[2]int]chart.Cell{}}
	used, columns := map[int64]coveredProduct{}, map[[2]int64]usedInstrument{}
	for _, c := range covered {
		p := used[c.Combination.Product.ID]
		p.product, p.tests, p.holders = c.Combination.Product, p.tests+c.Tests, p.holders+c.Holders
		used[p.product.ID] = p
		columns[columnKey(c.Combination)] = usedInstrument{c.Combination.Instrument, c.Combination.Syringe}
	}
	for _, p := range used {
		t.products = append(t.products, p)
	}
	for _, i := range columns {
		t.instruments = append(t.instruments, i)
	}
	slices.SortFunc(t.products, mostCovered)
	slices.SortFunc(t.instruments, func(a, b usedInstrument) int {
		return cmp.Or(byGauge(a.instrument, b.instrument), cmp.Compare(a.note(), b.note()),
			cmp.Compare(a.instrument.ID, b.instrument.ID))
	})
	t.fill(covered)
	t.picture.Group, t.picture.Ceiling = settings.Name, float64(settings.Ceiling)
	return t
}

func columnKey(c trade.Combination) [2]int64 { return [2]int64{c.Instrument.ID, c.Syringe.ID} }

// byGauge orders needles before cannulas, thick before thin, short before long.
func byGauge(a, b trade.Instrument) int {
	return cmp.Or(-cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Gauge, b.Gauge), cmp.Compare(a.LengthMM, b.LengthMM))
}

// fill puts every combination into its cell.
func (t *coverageTable) fill(covered []knowledge.CoveredCombination) {
	rows, columns := map[int64]int{}, map[[2]int64]int{}
	for i, p := range t.products {
		rows[p.product.ID] = i
		t.picture.Products = append(t.picture.Products, p.product.Name)
	}
	for i, u := range t.instruments {
		columns[[2]int64{u.instrument.ID, u.syringe.ID}] = i
		t.picture.Instruments = append(t.picture.Instruments, chart.Instrument{
			Cannula: u.instrument.Kind == trade.Cannula, Gauge: u.instrument.Gauge, LengthMM: u.instrument.LengthMM,
			Note: u.note(),
		})
	}
	for _, c := range covered {
		at := [2]int{rows[c.Combination.Product.ID], columns[columnKey(c.Combination)]}
		cell := chart.Cell{Product: at[0], Instrument: at[1], Tests: c.Tests, State: c.State, Holders: c.Holders}
		t.cells[at] = cell
		t.picture.Cells = append(t.picture.Cells, cell)
	}
}

// sums sets the verdict, a count over all pages, and returns the rows that come first. listed is how many gels are on
// the group's list.
func (t coverageTable) sums(c *Card, listed int) (rows []Fact) {
	tested, tests, stocked := 0, 0, 0
	states := map[calc.State]int{}
	for _, cell := range t.cells {
		if cell.Tests == 0 {
			stocked++
			continue
		}
		tested++
		tests += cell.Tests
		states[cell.State]++
	}
	c.Verdict = fmt.Sprintf("%d of %s tested, %s in all; %d in stock and untested.",
		tested, count(len(t.products)*len(t.instruments), "combination"), count(tests, "test"), stocked)
	var sums []string
	for _, s := range say.Standings() {
		if states[s.State] > 0 {
			sums = append(sums, fmt.Sprintf("%s %d", s.Short, states[s.State]))
		}
	}
	if len(sums) > 0 {
		rows = append(rows, Fact{"Up to " + exactSeconds(t.picture.Ceiling), strings.Join(sums, ", ")})
	}
	if unused := listed - len(t.products); unused > 0 {
		rows = append(rows, Fact{"Left out", count(unused, "gel") + " on the list, neither tested nor in stock."})
	}
	return rows
}

// rows are a line for each gel on a page of the picture.
func (t coverageTable) rows(sheet int) (facts []Fact) {
	rows, columns := t.picture.OnPage(sheet)
	for _, row := range rows {
		facts = append(facts, Fact{t.products[row].product.Name, t.rowWords(row, columns)})
	}
	return facts
}

// rowWords is one gel's row: by state, with the number of tests, and then what is in stock and untested.
func (t coverageTable) rowWords(row int, columns []int) string {
	groups := map[calc.State][]string{}
	var stocked []string
	for _, column := range columns {
		cell, known := t.cells[[2]int{row, column}]
		name := t.instruments[column].name()
		switch {
		case known && cell.Tests > 0:
			groups[cell.State] = append(groups[cell.State], fmt.Sprintf("%s (%d)", name, cell.Tests))
		case known:
			stocked = append(stocked, name)
		}
	}
	var parts []string
	for _, s := range say.Standings() {
		if len(groups[s.State]) > 0 {
			parts = append(parts, s.Short+" "+strings.Join(groups[s.State], ", "))
		}
	}
	if len(stocked) > 0 {
		parts = append(parts, "UNTESTED in stock "+strings.Join(stocked, ", "))
	}
	if len(parts) == 0 {
		return "nothing on this page"
	}
	return strings.Join(parts, "; ")
}
