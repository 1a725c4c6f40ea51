package commands

import (
	"context"

	"holdbench/internal/trade"
)

const whyName = "explain why"

var whyCommand = &Command{
	Name:    whyName,
	Summary: "What sets the pace of a gel on a needle or cannula, and what would change it",
	Help: "By the flow model, for the middle of the gels that the group's tests leave possible: what the time goes " +
		"into, and what it would be with half the length, a wider gauge or wall, twice the pull or warmer milk. A " +
		"calculation, even where the combination is tested.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 30G 13 mm",
	Options: combinationOptions(
		pullNumber("how far the plunger is drawn, if not 0.1 mL", trade.LargestPullML),
	),
	Who:      anyMember,
	Shared:   true,
	Bearing:  Bearing{Bedside: true},
	Examples: []string{"/explain why orrick mid 30G 13 mm"},
	Run:      runWhy,
}

func runWhy(ctx context.Context, env *Env, call *Call) (Card, error) {
	_, evidence, err := evidenceAsked(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	pace, err := evidence.Why(usualLiquidC)
	if err != nil {
		return Card{}, err
	}
	return whyCard(evidence, newOutlook(evidence, 0), pace), nil
}
