package commands

import (
	"fmt"
	"strings"
)

// The lines of a phone held upright, and how many of them an answer may take, caveats
// included (measured on a phone of 390 points; the project's choice).
const (
	phoneColumns = 40
	phoneLines   = 23
)

// paged puts one page of rows on a card that has all else already: as many as a phone
// shows. It returns which rows those are.
func (call *Call) paged(c *Card, rows []Fact) (from, to int, err error) {
	cuts := cutRows(call.room(*c), rows)
	of := len(cuts) - 1
	page, err := call.page(of)
	if err != nil {
		return 0, 0, err
	}
	from, to = cuts[page-1], cuts[page]
	c.Facts = append(rows[from:to:to], c.Facts...)
	c.numbered(page, of)
	c.Actions = append(call.turning(page, of), c.Actions...)
	return from, to, nil
}

// numbered says which of several pages it is.
func (c *Card) numbered(page, of int) {
	if of > 1 {
		c.Verdict = strings.TrimSpace(fmt.Sprintf("%s Page %d of %d.", c.Verdict, page, of))
	}
}

// room is how many lines of a phone a card leaves, one kept for the number of its page.
func (call *Call) room(c Card) int {
	if call.cmd != nil {
		c.Brief = brief(call.cmd.Bearing, c)
	}
	return phoneLines - 1 - c.height()
}

// height is how many lines a card takes on a phone, without its buttons and lists.
func (c Card) height() int {
	b := &wrapped{width: phoneColumns}
	c.head(b)
	for _, w := range c.Warnings {
		b.wrap("  ! ", "    ", w)
	}
	for _, caveat := range c.SmallPrint() {
		b.wrap("  – ", "    ", caveat)
	}
	return strings.Count(b.String(), "\n")
}

// cutRows is where the pages of rows begin so that each keeps to the room, and the end
// of the last. A page has a row at the least.
func cutRows(room int, rows []Fact) []int {
	cuts, used, empty := []int{0}, 0, Card{}.height()
	for i, row := range rows {
		height := Card{Facts: []Fact{row}}.height() - empty
		if used += height; used > room && i > cuts[len(cuts)-1] {
			cuts, used = append(cuts, i), height
		}
	}
	return append(cuts, len(rows))
}
