package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
)

// coverageCount is how many combinations of each kind there are.
type coverageCount struct {
	states                       map[calc.State]int
	tested, stocked, blank, runs int
}

// add counts one combination.
func (n *coverageCount) add(c Cell) {
	switch {
	case c.Tests > 0:
		n.tested++
		n.runs += c.Tests
		n.states[c.State]++
	case c.Holders > 0:
		n.stocked++
	default:
		n.blank++
	}
}

// countPage counts what stands on the page.
func (t coverageTable) countPage() coverageCount {
	n := coverageCount{states: map[calc.State]int{}}
	for row := t.fromRow; row < t.toRow; row++ {
		for _, column := range t.shownColumns() {
			n.add(t.cells[place{row, column}])
		}
	}
	return n
}

// countAll counts the whole of the coverage.
func (t coverageTable) countAll() coverageCount {
	n := coverageCount{states: map[calc.State]int{}}
	for _, c := range t.cells {
		n.add(c)
	}
	n.blank = len(t.Products)*len(t.Instruments) - n.tested - n.stocked
	return n
}

// summary is the whole coverage in a line or two, whatever the page shows.
func (t coverageTable) summary() []string {
	n := t.countAll()
	all := count(len(t.Products)*len(t.Instruments), "combination")
	say := []string{fmt.Sprintf("%d of %s tested; ceiling %s.", n.tested, all, secondsWords(t.Ceiling))}
	if n.stocked > 0 {
		say = append(say, fmt.Sprintf("In stock but untested: %d.", n.stocked))
	}
	return say
}

// more tells whether the coverage takes more than this page.
func (t coverageTable) more() bool { return t.Pages() > 1 }

// pageWords says what the page leaves out.
func (t coverageTable) pageWords(page int) string {
	return fmt.Sprintf("Page %d of %d: %s and %s. The rest is on the other pages.", page, t.Pages(),
		part("products", t.fromRow, t.toRow, len(t.Products)), part("needles and cannulas", t.fromColumn, t.toColumn,
			len(t.columns)))
}

// part names a stretch of a list.
func part(things string, from, to, all int) string {
	switch {
	case from == 0 && to == all:
		return fmt.Sprintf("all %d %s", all, things)
	case from+1 == to:
		return fmt.Sprintf("%s %d of %d", things, to, all)
	}
	return fmt.Sprintf("%s %d–%d of %d", things, from+1, to, all)
}

// emptyWords say why there is nothing to show.
func (c Coverage) emptyWords() string {
	switch {
	case len(c.Products) == 0 && len(c.Instruments) == 0:
		return "No products, needles or cannulas are on the group's list yet."
	case len(c.Products) == 0:
		return "No products are on the group's list yet."
	}
	return "No needles or cannulas are on the group's list yet."
}

// noteLetters gives each note of the page a letter, in the order of the columns.
func (t coverageTable) noteLetters() map[string]string {
	letters := map[string]string{}
	for _, column := range t.shownColumns() {
		note := tidy(t.Instruments[column].Note)
		if note != "" && letters[note] == "" {
			letters[note] = string(rune('a' + len(letters)))
		}
	}
	return letters
}

// notes are the lines that say what the letters stand for.
func (t coverageTable) notes() []string {
	var lines []string
	for note, letter := range t.noteLetters() {
		lines = append(lines, letter+": "+note)
	}
	slices.Sort(lines)
	return lines
}

// alt says the page in words: the counts, what stands out, then what was tested
// and in which state, as far as it goes.
func (t coverageTable) alt(page int) string {
	say := []string{"Coverage"}
	if group := tidy(t.Group); group != "" {
		say[0] += " of " + cut(group, 100)
	}
	say[0] += ": " + strings.Join(t.summary(), " ")
	if t.more() {
		say = append(say, t.pageWords(page))
	}
	n := t.countPage()
	if n.tested > 0 {
		say = append(say, fmt.Sprintf("Tested here: %d, in %s.", n.tested, count(n.runs, "test")))
	}
	for _, v := range looks() {
		if names := t.testedNames(v.State); len(names) > 0 {
			say = append(say, fmt.Sprintf("%s (%d): %s.", sentence(v.Short), len(names), listed(names, 95)))
		}
	}
	if names := t.stockedNames(); len(names) > 0 {
		say = append(say, fmt.Sprintf("In stock but untested (%d): %s.", len(names), listed(names, 110)))
	}
	return withCaveats(strings.Join(say, " "))
}

// testedNames are the combinations of the page in a state, the most tested first.
func (t coverageTable) testedNames(state calc.State) []string {
	cells := t.onPage(func(c Cell) bool { return c.Tests > 0 && c.State == state })
	slices.SortStableFunc(cells, func(a, b Cell) int { return cmp.Compare(b.Tests, a.Tests) })
	var names []string
	for _, c := range cells {
		names = append(names, fmt.Sprintf("%s, %d", t.cellName(c), c.Tests))
	}
	return names
}

// stockedNames are the untested combinations of the page that are in stock, the
// most widely held first.
func (t coverageTable) stockedNames() []string {
	cells := t.onPage(func(c Cell) bool { return c.Tests == 0 && c.Holders > 0 })
	slices.SortStableFunc(cells, func(a, b Cell) int { return cmp.Compare(b.Holders, a.Holders) })
	var names []string
	for _, c := range cells {
		names = append(names, fmt.Sprintf("%s, %s", t.cellName(c), count(c.Holders, "holder")))
	}
	return names
}

// onPage are the cells of the page that are wanted, row by row.
func (t coverageTable) onPage(wanted func(Cell) bool) []Cell {
	var cells []Cell
	for row := t.fromRow; row < t.toRow; row++ {
		for _, column := range t.shownColumns() {
			if c, ok := t.cells[place{row, column}]; ok && wanted(c) {
				cells = append(cells, c)
			}
		}
	}
	return cells
}

// cellName names a combination as the trade writes it.
func (t coverageTable) cellName(c Cell) string {
	return cut(tidy(t.Products[c.Product]), 40) + " " + cut(t.Instruments[c.Instrument].name(), 40)
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
