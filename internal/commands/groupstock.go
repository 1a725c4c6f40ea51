package commands

import (
	"context"
	"slices"

	"holdbench/internal/knowledge"
)

const groupStockName = "trainer stock"

var groupStockCommand = &Command{
	Name:    groupStockName,
	Summary: "Who in the group holds which gels (trainer)",
	Help: "Gel by gel, who holds it. Part of a gel's name narrows the list; one gel alone also shows the needles and " +
		"cannulas each member uses it on.",
	Free:     true,
	FreeHelp: "part of a gel's name",
	Options:  []Option{pageNumber()},
	Who:      knowledge.TrainerRole,
	Quick:    true,
	Examples: []string{"/trainer stock", "/trainer stock dunmere"},
	Run:      runGroupStock,
}

func runGroupStock(ctx context.Context, env *Env, call *Call) (Card, error) {
	items, err := env.Group.Stock(ctx, knowledge.StockFilter{})
	if err != nil {
		return Card{}, err
	}
	items = slices.DeleteFunc(items, func(i knowledge.StockItem) bool {
		p := i.Combination.Product
		return !contains(append([]string{p.Name}, p.Aliases...), call.Text)
	})
	if len(items) == 0 && call.Text != "" {
		return Card{}, refuse("/"+groupStockName+" alone lists all.", "Nobody holds a gel with %s in its name.",
			echo(call.Text))
	}
	c := Card{Title: "What the group holds"}
	if len(items) == 0 {
		c.Verdict = "Nobody has put anything on record."
		return c, nil
	}
	rows, gels := []Fact(nil), byGel(items)
	if call.Text != "" && len(gels) == 1 {
		c.Title = gels[0][0].Combination.Product.Name + ", in the group's stock"
		for _, one := range byHolder(gels[0]) {
			rows = append(rows, Fact{one[0].Member.Name, usedOnWords(one)})
		}
	} else {
		for _, gel := range gels {
			var names []string
			for _, one := range byHolder(gel) {
				names = append(names, one[0].Member.Name)
			}
			rows = append(rows, Fact{gel[0].Combination.Product.Name, count(len(names), "member") + ": " +
				someOf(names, mostListed, ", ")})
		}
	}
	_, err = call.paged(&c, rows)
	return c, err
}

// byHolder groups stock by member, in order of their names.
func byHolder(items []knowledge.StockItem) [][]knowledge.StockItem {
	return together(items, func(i knowledge.StockItem) (string, int64) { return i.Member.Name, i.Member.ID })
}
