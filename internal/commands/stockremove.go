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
	Help:     "The gel, and the needle or cannula where only that goes. All of the gel goes where none is named.",
	Free:     true,
	FreeHelp: "as in: Orrick Mid, or Orrick Mid 27G 13 mm",
	Options:  stockOptions(),
	Who:      anyMember,
	Admits:   true,
	Examples: []string{"/stock remove Orrick Mid"},
	Run:      runStockRemove,
}

var everything = regexp.MustCompile(`(?i)^(?:all|everything|all of (?:it|them))$`)

// runStockRemove takes out what was said; where no needle is named, all of the gel.
func runStockRemove(ctx context.Context, env *Env, call *Call) (Card, error) {
	said, err := stockSaid(call)
	if err != nil {
		return Card{}, err
	}
	if len(said) == 1 && everything.MatchString(said[0].gel) {
		return Card{}, refuse("Name each gel that goes. Nothing was taken out.", "Everything at once is not taken out.")
	}
	items, err := readStock(call, said)
	if err != nil {
		return Card{}, err
	}
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: call.by.ID})
	if err != nil {
		return Card{}, err
	}
	var gone []int64
	var missing []string
	c := Card{Title: "Out of your stock", Verdict: "Your tests of it stay in the log."}
	for _, item := range items {
		found := false
		for _, h := range held {
			if !item.covers(h.Combination) {
				continue
			}
			found = true
			if !slices.Contains(gone, h.ID) {
				gone = append(gone, h.ID)
				c.line("%s", stockWords(h.Combination))
			}
		}
		switch {
		case !found && item.combination.Product.ID == 0:
			missing = append(missing, echo(item.said.gel))
		case !found:
			missing = append(missing, stockWords(item.combination))
		}
	}
	if len(missing) > 0 {
		return Card{}, refuse("/"+stockListName+" lists what you hold. Nothing was taken out.", "You do not hold %s.",
			listWords(missing))
	}
	if err := env.Group.RemoveStock(ctx, gone...); err != nil {
		return Card{}, err
	}
	return shortened(c), nil
}
