package commands

import (
	"context"
	"regexp"
	"slices"

	"holdbench/internal/knowledge"
)

const stockRemoveName = "stock remove"

var stockRemoveCommand = &Command{
	Name:     stockRemoveName,
	Summary:  "Take out of your stock what you no longer hold; your tests of it stay in the log",
	Help:     "Name the gel, and the needle or cannula if only that goes; without one, all of the gel goes.",
	Free:     true,
	FreeHelp: "as in: Orrick Mid, or Orrick Mid 27G 13 mm",
	Options:  stockOptions(),
	Who:      anyMember,
	Admits:   true,
	Examples: []string{"/stock remove Orrick Mid"},
	Run:      runStockRemove,
}

var everything = regexp.MustCompile(`(?i)^(?:all|everything|all of (?:it|them))$`)

func runStockRemove(ctx context.Context, env *Env, call *Call) (Card, error) {
	said, err := stockSaid(call)
	if err != nil {
		return Card{}, err
	}
	if len(said) == 1 && everything.MatchString(said[0].gel) {
		return Card{}, refuse("Name each gel that goes. Nothing was taken out.", "Everything cannot be taken out at once.")
	}
	items, err := readStock(call, said)
	if err != nil {
		return Card{}, err
	}
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: call.by.ID})
	if err != nil {
		return Card{}, err
	}
	if missing := notHeld(items, held); len(missing) > 0 {
		return Card{}, refuse("/"+stockListName+" lists what you hold. Nothing was taken out.", "You do not hold %s.",
			listWords(missing))
	}
	c := Card{Title: "Out of your stock", Verdict: "Your tests of it stay in the log."}
	var gone []int64
	for _, h := range held {
		if slices.ContainsFunc(items, func(item stockItem) bool { return item.covers(h.Combination) }) {
			gone = append(gone, h.ID)
			c.line("%s", stockWords(h.Combination))
		}
	}
	if err := env.Group.RemoveStock(ctx, gone...); err != nil {
		return Card{}, err
	}
	return shortened(c), nil
}

// notHeld names the items that cover nothing of what is held.
func notHeld(items []stockItem, held []knowledge.StockItem) (names []string) {
	for _, item := range items {
		switch {
		case slices.ContainsFunc(held, func(h knowledge.StockItem) bool { return item.covers(h.Combination) }):
		case item.combination.Product.ID == 0:
			names = append(names, echo(item.said.gel))
		default:
			names = append(names, stockWords(item.combination))
		}
	}
	return names
}
