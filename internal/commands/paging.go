package commands

import (
	"fmt"
	"strconv"
	"strings"
)

const (
	pageOption = "page"
	nextPage   = "next page"
	mostPages  = 1000 // that may be asked for

	// mostListed is how many rows are shown of a list whose pages are read from the store one by one, or that says how
	// many more there are.
	mostListed = 20
)

func pageNumber() Option {
	return Option{Name: pageOption, Help: "which page, where there are several", Kind: Whole, Min: 1, Max: mostPages}
}

// The width of a phone held upright in characters, and how many lines an answer may take on it, caveats included
// (measured on a phone of 390 points; the project's choice).
const (
	phoneColumns = 40
	phoneLines   = 23
)

// page is the number of the page that is asked for.
//
// Errors: *UserError for one after the last.
func (call *Call) page(of int) (int, error) {
	page := call.whole(pageOption, 1)
	if page > of {
		return 0, refuse("", "There is no page %d: there is %s.", page, count(of, "page"))
	}
	return page, nil
}

// pagesOf is how many pages of mostListed there are of so many rows, at least one.
func pagesOf(rows int) int { return max(1, (rows+mostListed-1)/mostListed) }

// turning are the buttons for the next page and the previous one.
func (call *Call) turning(page, of int) []Action {
	to := func(label string, page int) Action {
		req := call.withoutAsker().with(pageOption, strconv.Itoa(page))
		req.Text, req.About = call.Text, call.About
		return Action{Label: label, Request: req}
	}
	var all []Action
	if page < of {
		all = append(all, to(nextPage, page+1))
	}
	if page > 1 {
		all = append(all, to("previous page", page-1))
	}
	return all
}

// span is the rows of a page: from one up to another, not included, of one group of rows.
type span struct{ group, from, to int }

// paged puts one page of rows on a card that is otherwise complete: as many as fit on a phone, all of one group. It
// returns which rows those are.
func (call *Call) paged(c *Card, groups ...[]Fact) (shown span, err error) {
	var pages []span
	for g, rows := range groups {
		cuts := cutRows(call.room(*c), rows)
		for i := range cuts[1:] {
			pages = append(pages, span{g, cuts[i], cuts[i+1]})
		}
	}
	page, err := call.page(len(pages))
	if err != nil {
		return shown, err
	}
	shown = pages[page-1]
	c.Facts = append(groups[shown.group][shown.from:shown.to:shown.to], c.Facts...)
	call.sayPage(c, page, len(pages))
	return shown, nil
}

// sayPage says which of several pages a card has, and puts the buttons for the others in front.
func (call *Call) sayPage(c *Card, page, of int) {
	if of > 1 {
		c.Verdict = strings.TrimSpace(fmt.Sprintf("%s Page %d of %d.", sentence(c.Verdict), page, of))
	}
	c.Actions = append(call.turning(page, of), c.Actions...)
}

// room is how many lines of a phone a card leaves free, less one for the number of the page.
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

// cutRows is where each page of rows begins, and where the last ends, so that every page fits into room lines. A page
// has at least one row.
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
