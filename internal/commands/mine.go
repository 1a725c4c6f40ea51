package commands

import (
	"cmp"
	"context"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const mineName = "mine"

var mineCommand = &Command{
	Name:    mineName,
	Short:   "what you stock, with its hold",
	Summary: "Your sheet: each combination you stock, with its hold, no hold, or untested",
	Help: "What the group's tests say today of what you stock, holds first. It is dated: a hold may change with the next test. " +
		"What stands in your stock without a needle or cannula is counted.",
	Who:      anyMember,
	Slow:     true,
	Bearing:  Bearing{Bedside: true},
	Examples: []string{"/mine"},
	Run:      runMine,
}

func runMine(ctx context.Context, env *Env, call *Call) (Card, error) {
	m, err := call.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	today, err := env.today(ctx)
	if err != nil {
		return Card{}, err
	}
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: m.ID})
	if err != nil {
		return Card{}, err
	}
	var all []*knowledge.Evidence
	bare := 0
	for _, item := range held {
		if item.Combination.Instrument == (trade.Instrument{}) {
			bare++
			continue
		}
		e, err := env.Group.Evidence(ctx, item.Combination, calc.DefaultPull)
		if err != nil {
			return Card{}, err
		}
		all = append(all, e)
	}
	return mineCard(all, bare, today.Format(dateForm)), nil
}

// mineCard is the sheet of a day: holds first, then what has none, then the untested.
func mineCard(all []*knowledge.Evidence, bare int, day string) Card {
	c := Card{Title: "My sheet, " + day, Verdict: "At " + pullWords(calc.DefaultPull) + " pull, as the group's tests stand that day."}
	if len(all) == 0 {
		c.Verdict = ""
		c.line("Nothing with a needle or cannula is in your stock. Say what you use: %s", stockCommand.Examples[0])
		return c
	}
	slices.SortStableFunc(all, func(a, b *knowledge.Evidence) int {
		return cmp.Or(cmp.Compare(sheetPlace(a), sheetPlace(b)), cmp.Compare(stockWords(a.Combination), stockWords(b.Combination)))
	})
	for _, e := range all {
		c.fact(stockWords(e.Combination), "%s", headline(e))
		c.sayBehind(e)
	}
	if bare > 0 {
		c.line("%s in your stock without a needle or cannula.", count(bare, "gel"))
	}
	c.Actions = []Action{UntestedAction()}
	return c
}

// sheetPlace puts holds before the rest, and the untested last.
func sheetPlace(e *knowledge.Evidence) int {
	switch {
	case e.State == calc.StateHold:
		return 0
	case e.Tested:
		return 1
	}
	return 2
}
