package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/say"
)

// coverageCount is how many combinations of each kind there are.
type coverageCount struct {
	states                 map[calc.State]int
	tested, stocked, blank int
	tests                  int // of the tested ones together
}

// counted returns how many of the cells are of each kind.
func counted(cells []Cell) coverageCount {
	n := coverageCount{states: map[calc.State]int{}}
	for _, c := range cells {
		switch {
		case c.Tests > 0:
			n.tested++
			n.tests += c.Tests
			n.states[c.State]++
		case c.Holders > 0:
			n.stocked++
		default:
			n.blank++
		}
	}
	return n
}

// onPage returns the cells of the page row by row, empty ones where nothing is known.
func (p coveragePage) onPage() (cells []Cell) {
	for row := p.fromRow; row < p.toRow; row++ {
		for _, column := range p.shownColumns() {
			cells = append(cells, p.cells[place{row, column}])
		}
	}
	return cells
}

// summary is the whole coverage in a line or two, whatever the page shows.
func (p coveragePage) summary() []string {
	n := counted(p.Cells)
	all := say.Count(len(p.Products)*len(p.Instruments), "combination")
	lines := []string{fmt.Sprintf("%d of %s tested; ceiling %s.", n.tested, all, secondsWords(p.Ceiling))}
	if n.stocked > 0 {
		lines = append(lines, fmt.Sprintf("In stock but untested: %d.", n.stocked))
	}
	return lines
}

// pageWords says what the page leaves out.
func (p coveragePage) pageWords() string {
	return fmt.Sprintf("Page %d of %d: %s and %s. The rest is on the other pages.", p.number, p.Pages(),
		part("products", p.fromRow, p.toRow, len(p.Products)), part("needles and cannulas", p.fromColumn, p.toColumn,
			len(p.columns)))
}

// part names the items from … to of a list.
func part(things string, from, to, all int) string {
	switch {
	case from == 0 && to == all:
		return fmt.Sprintf("all %d %s", all, things)
	case from+1 == to:
		return fmt.Sprintf("%s %d of %d", things, to, all)
	}
	return fmt.Sprintf("%s %d–%d of %d", things, from+1, to, all)
}

// emptyWords says why there is nothing to show.
func (c Coverage) emptyWords() string {
	switch {
	case len(c.Products) == 0 && len(c.Instruments) == 0:
		return "No products, needles or cannulas are on the group's list yet."
	case len(c.Products) == 0:
		return "No products are on the group's list yet."
	}
	return "No needles or cannulas are on the group's list yet."
}

// noteLetters returns a letter for each note of the page, in the order of the columns.
func (p coveragePage) noteLetters() map[string]string {
	letters := map[string]string{}
	for _, column := range p.shownColumns() {
		note := tidy(p.Instruments[column].Note)
		if note != "" && letters[note] == "" {
			letters[note] = string(rune('a' + len(letters)))
		}
	}
	return letters
}

// notes returns the lines that say what the letters stand for.
func (p coveragePage) notes() []string {
	var lines []string
	for note, letter := range p.noteLetters() {
		lines = append(lines, letter+": "+note)
	}
	slices.Sort(lines)
	return lines
}

// alt returns the page in words: the counts, what stands out, then the tested combinations by
// state, as far as there is room.
func (p coveragePage) alt() string {
	lines := []string{"Coverage"}
	if group := tidy(p.Group); group != "" {
		lines[0] += " of " + cut(group, 100)
	}
	lines[0] += ": " + strings.Join(p.summary(), " ")
	if p.Pages() > 1 {
		lines = append(lines, p.pageWords())
	}
	if n := counted(p.onPage()); n.tested > 0 {
		lines = append(lines, fmt.Sprintf("Tested here: %d, in %s.", n.tested, say.Count(n.tests, "test")))
	}
	for _, v := range looks() {
		names := p.names(func(c Cell) (int, bool) { return c.Tests, c.Tests > 0 && c.State == v.State }, strconv.Itoa)
		if len(names) > 0 {
			lines = append(lines, fmt.Sprintf("%s (%d): %s.", sentence(v.Short), len(names), listed(names, 95)))
		}
	}
	names := p.names(func(c Cell) (int, bool) { return c.Holders, c.Tests == 0 && c.Holders > 0 },
		func(n int) string { return say.Count(n, "holder") })
	if len(names) > 0 {
		lines = append(lines, fmt.Sprintf("In stock but untested (%d): %s.", len(names), listed(names, 110)))
	}
	return withCaveats(strings.Join(lines, " "))
}

// names returns the wanted combinations of the page with their numbers, the largest number first.
func (p coveragePage) names(wanted func(Cell) (n int, ok bool), said func(n int) string) (names []string) {
	type numbered struct {
		Cell
		n int
	}
	var cells []numbered
	for _, c := range p.onPage() {
		if n, ok := wanted(c); ok {
			cells = append(cells, numbered{c, n})
		}
	}
	slices.SortStableFunc(cells, func(a, b numbered) int { return cmp.Compare(b.n, a.n) })
	for _, c := range cells {
		names = append(names, p.cellName(c.Cell)+", "+said(c.n))
	}
	return names
}

// cellName returns the combination as the trade writes it.
func (p coveragePage) cellName(c Cell) string {
	return cut(tidy(p.Products[c.Product]), 40) + " " + cut(p.Instruments[c.Instrument].name(), 40)
}

// listed joins names, as many as fit in so many characters, and says how many more.
func listed(names []string, most int) string {
	text := ""
	for i, name := range names {
		next := text
		if i > 0 {
			next += "; "
		}
		next += name
		if i > 0 && len([]rune(next)) > most {
			return fmt.Sprintf("%s; and %d more", text, len(names)-i)
		}
		text = next
	}
	return text
}
