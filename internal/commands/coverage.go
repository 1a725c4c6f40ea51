package commands

import (
	"cmp"
	"context"
	"fmt"

	"holdbench/internal/trade"
)

const coverageName = "group coverage"

var coverageCommand = &Command{
	Name:    coverageName,
	Summary: "What the group has tested, as a picture: gels by needles and cannulas, with the number of tests",
	Help: "One row for each gel that is tested or in stock, the most tested first; one column for each needle and " +
		"cannula in use. A cell shows what the tests say, as a sign, and their number; what is in stock and untested " +
		"is dashed, with a 0. A large group takes several pages.",
	Options:  []Option{pageNumber(), backgroundChoice()},
	Who:      anyMember,
	Shared:   true,
	Examples: []string{"/group coverage", "/group coverage background:dark"},
	Run:      runCoverage,
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
	c.Actions = []Action{call.withoutAsker().otherPaper()}
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

// mostCovered orders gels by the number of tests, then of members who hold them, the most first, then by name.
func mostCovered(a, b coveredProduct) int {
	return cmp.Or(cmp.Compare(b.tests, a.tests), cmp.Compare(b.holders, a.holders),
		cmp.Compare(a.product.Name, b.product.Name))
}

// coveredProduct is a gel and how much it is used.
type coveredProduct struct {
	product        trade.Product
	tests, holders int
}
