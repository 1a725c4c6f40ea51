package commands

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const stockListName = "stock list"

var stockListCommand = &Command{
	Name:     stockListName,
	Summary:  "What you hold, gel by gel, and what you use it on",
	Help:     "Your own stock alone: the group sees how many hold a gel, and the trainer who.",
	Options:  []Option{pageNumber()},
	Who:      anyMember,
	Quick:    true,
	Admits:   true,
	Examples: []string{"/stock list"},
	Run:      runStockList,
}

func runStockList(ctx context.Context, env *Env, call *Call) (Card, error) {
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: call.by.ID})
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "What you hold"}
	c.Actions = []Action{{Label: "add a gel", Request: Request{Command: stockName}, Tap: true}}
	if len(held) == 0 {
		c.Verdict = "Nothing is on record."
		c.line("Say it in one line: %s", stockCommand.Examples[0])
		return c, nil
	}
	var rows []Fact
	for _, gel := range byGel(held) {
		rows = append(rows, Fact{gel[0].Combination.Product.Name, usedOnWords(gel)})
	}
	_, err = call.paged(&c, rows)
	return c, err
}

// byGel groups stock by gel, in order of their names.
func byGel(items []knowledge.StockItem) [][]knowledge.StockItem {
	return together(items, func(i knowledge.StockItem) (string, int64) {
		return i.Combination.Product.Name, i.Combination.Product.ID
	})
}

// together groups the items that by gives the same number, in order of the names that it gives them.
func together(items []knowledge.StockItem, by func(knowledge.StockItem) (string, int64)) (all [][]knowledge.StockItem) {
	var last int64
	for _, item := range slices.SortedStableFunc(slices.Values(items), func(a, b knowledge.StockItem) int {
		aName, aNumber := by(a)
		bName, bNumber := by(b)
		return cmp.Or(cmp.Compare(aName, bName), cmp.Compare(aNumber, bNumber))
	}) {
		if _, number := by(item); len(all) == 0 || number != last {
			all, last = append(all, nil), number
		}
		all[len(all)-1] = append(all[len(all)-1], item)
	}
	return all
}

// usedOnWords lists the needles and cannulas that stock of one gel is used on.
func usedOnWords(items []knowledge.StockItem) string {
	var on []string
	for _, item := range items {
		words := "no needle or cannula named" + syringeRemark(item.Combination.Syringe)
		if item.Combination.Instrument != (trade.Instrument{}) {
			words = item.Combination.Instrument.Name() + syringeRemark(item.Combination.Syringe)
		}
		on = append(on, words)
	}
	return strings.Join(on, "; ")
}

// shortened leaves out the facts after the first mostListed, and counts them.
func shortened(c Card) Card {
	all := len(c.Facts)
	c.Facts = c.Facts[:min(all, mostListed)]
	c.andMore(all-mostListed, "")
	return c
}
