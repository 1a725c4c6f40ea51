package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

const (
	untestedName = "totest list"
	mostOpen     = 10 // rows a phone shows with their reasons
	mostOffered  = 5  // buttons: one row
)

var untestedCommand = &Command{
	Name:    untestedName,
	Short:   "what is worth a test",
	Summary: "What the group uses and more tests may give a hold or settle: what is nearest to a hold first",
	Help: "First what lacks nothing to a hold but tests, the fewest first. Then the order is how many members use it, times how much one more " +
		"test is expected to tell about the share that shows by the ceiling; where that ties, what was stocked lately comes first. Each row says why it stands there, and who has taken it on.",
	Who:      anyMember,
	Slow:     true,
	Shared:   true,
	Examples: []string{"/totest list"},
	Run:      runUntested,
}

func runUntested(ctx context.Context, env *Env, _ *Call) (Card, error) {
	today, err := env.today(ctx)
	if err != nil {
		return Card{}, err
	}
	open, err := env.Group.Untested(ctx, today.Format(dateForm))
	if err != nil {
		return Card{}, err
	}
	if len(open) == 0 {
		return Card{Title: "Nothing in stock is left untested or open."}, nil
	}
	c := Card{Title: "Worth a test, nearest to a hold first", Verdict: count(len(open), "combination") + " in stock untested or open."}
	for _, o := range open[:min(len(open), mostOpen)] {
		c.fact(stockWords(o.Combination), "%s", openWords(o))
	}
	if more := len(open) - mostOpen; more > 0 {
		c.line("and %d more", more)
	}
	for _, o := range open {
		if o.Claim == nil && len(c.Actions) < mostOffered {
			c.Actions = append(c.Actions, TakeOnAction(o.Combination))
		}
	}
	if len(c.Actions) > 0 {
		c.line("To test one: %s", takeCommand.line(c.Actions[0].Request))
	}
	return c, nil
}

// openWords says why a combination stands where it stands, and who is on it.
func openWords(o knowledge.OpenCombination) string {
	if o.Claim == nil {
		return o.Why
	}
	return o.Why + "; taken on by " + o.Claim.Member.Name + " until " + o.Claim.DueOn
}
