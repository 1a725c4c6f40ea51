package commands

import (
	"cmp"
	"context"
	"fmt"
	"strconv"

	"holdbench/internal/trade"
)

const (
	coverageName = "group coverage"
	pageOption   = "page"
	mostPages    = 1000 // that may be asked for
)

var coverageCommand = &Command{
	Name:    coverageName,
	Summary: "What the group has tested, as a picture: gels by needles and cannulas, with the number of tests",
	Help: "A row for each gel that is tested or in stock, the most tested first; a column for each needle and " +
		"cannula it is tested or stocked with. A cell has the sign of what the tests say and their number; what is " +
		"in stock and untested is dashed, with a 0. A large group takes several pages.",
	Options:  []Option{pageNumber(), backgroundChoice()},
	Who:      anyMember,
	Slow:     true,
	Shared:   true,
	Examples: []string{"/group coverage", "/group coverage background:dark"},
	Run:      runCoverage,
}

func pageNumber() Option {
	return Option{Name: pageOption, Help: "which page, where there are several", Kind: Whole, Min: 1, Max: mostPages}
}

func runCoverage(ctx context.Context, env *Env, call *Call) (Card, error) {
	covered, err := env.Group.Coverage(ctx)
	if err != nil {
		return Card{}, err
	}
	t := newCoverageTable(covered, call.settings)
	c := Card{Title: "Coverage"}
	if len(t.products) == 0 {
		c.line("Nothing is tested or in stock yet.")
		return c, nil
	}
	t.picture.Dark = call.onDark()
	c.Actions = []Action{call.anew().otherPaper()}
	sums := t.sums(&c, len(call.lists.Products))
	sheets := make([][]Fact, t.picture.Pages())
	for i := range sheets {
		sheets[i] = t.rows(i + 1)
	}
	sheets[0] = append(sums, sheets[0]...)
	shown, err := call.paged(&c, sheets...)
	if err != nil {
		return Card{}, err
	}
	p, err := t.picture.Draw(shown.group + 1)
	if err != nil {
		return Card{}, fmt.Errorf("picture of the coverage: %w", err)
	}
	c.Picture = call.drawn(p, shown.group+1)
	return c, nil
}

// page is the page that is asked for, of so many.
func (call *Call) page(of int) (int, error) {
	n, given := call.number(pageOption)
	if !given {
		return 1, nil
	}
	if int(n) > of {
		return 0, refuse("", "There is no page %d: there is %s.", int(n), count(of, "page"))
	}
	return int(n), nil
}

// turning is how to get to the pages beside a page.
func (call *Call) turning(page, of int) []Action {
	to := func(label string, page int) Action {
		req := call.anew().with(pageOption, strconv.Itoa(page))
		req.Text, req.About = call.Text, call.About
		return Action{Label: label, Request: req}
	}
	var all []Action
	if page < of {
		all = append(all, to("more", page+1))
	}
	if page > 1 {
		all = append(all, to("back", page-1))
	}
	return all
}

// mostCovered puts the gels with most tests first, then those that most hold, then
// by name.
func mostCovered(a, b coveredProduct) int {
	return cmp.Or(cmp.Compare(b.tests, a.tests), cmp.Compare(b.holders, a.holders),
		cmp.Compare(a.product.Name, b.product.Name))
}

// coveredProduct is a gel with how much it is used.
type coveredProduct struct {
	product        trade.Product
	tests, holders int
}
