package commands

import (
	"context"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const untestedName = "totest list"

var untestedCommand = &Command{
	Name:    untestedName,
	Short:   "what is worth a test",
	Summary: "What the group uses and more tests may settle or give a hold, the nearest to a hold first",
	Help: "First comes what needs only tests for a hold, the fewest first. The rest is ordered by how many members " +
		"use it, times how much one more test is expected to tell about the share that shows by the ceiling; in a " +
		"tie, what was stocked lately comes first. Each row says why it is there, and who has taken it on.",
	Options:  []Option{pageNumber()},
	Who:      anyMember,
	Shared:   true,
	Examples: []string{"/totest list"},
	Run:      runUntested,
}

func runUntested(ctx context.Context, env *Env, call *Call) (Card, error) {
	open, err := env.Group.Untested(ctx, call.today())
	if err != nil {
		return Card{}, err
	}
	if len(open) == 0 {
		return Card{Title: "Nothing in stock is left untested or open."}, nil
	}
	c := Card{Title: "Worth a test, nearest to a hold first"}
	rows := make([]Fact, len(open))
	for i, o := range open {
		rows[i] = Fact{stockWords(o.Combination), openWords(o)}
	}
	shown, err := call.paged(&c, rows)
	if err != nil {
		return Card{}, err
	}
	var free []trade.Combination
	for _, o := range open[shown.from:shown.to] {
		if o.Claim == nil {
			free = append(free, o.Combination)
		}
	}
	if len(free) > 0 {
		c.Picks = []Pick{takeOnPick(free)}
	}
	return c, nil
}

// openWords says why a combination is worth a test, and who has taken it on.
func openWords(o knowledge.OpenCombination) string {
	if o.Claim == nil {
		return o.Why
	}
	return o.Why + "; taken on by " + o.Claim.Member.Name + " until " + o.Claim.DueOn
}
