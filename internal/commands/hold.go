package commands

import (
	"context"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

const (
	holdName   = "hold"
	moreOption = "more"
)

// pullNumber is the option for a pull of at most largest, mL.
func pullNumber(help string, largest float64) Option {
	return Option{Name: "pull", Help: help, Kind: Number, Unit: "mL", Min: trade.SmallestPullML, Max: largest,
		Suggest: suggestPull}
}

// pull is the pull that was asked about, the usual one if none was named.
func (a subject) pull() (calc.Volume, error) {
	if a.pullML == 0 {
		return calc.DefaultPull, nil
	}
	if !(a.pullML >= trade.SmallestPullML && a.pullML <= trade.LargestPullML) {
		return 0, pullNumber("", trade.LargestPullML).refuse(trimNumber(a.pullML) + " mL")
	}
	return calc.Volume(a.pullML) * calc.Millilitre, nil
}

var holdCommand = &Command{
	Name:    holdName,
	Short:   "how long to hold, and on what tests",
	Summary: "How long to hold for one gel on one needle or cannula, and what that is based on",
	Help: "Ask as you would ask a colleague: the gel, the gauge, the length; say so if it is a cannula or a " +
		"fixed-needle syringe. Name a number of seconds to see what share of tests shows by then. A hold is given " +
		"only where the group's own tests support it.",
	Free:     true,
	FreeHelp: "the question, as in: orrick mid on 27G 13 mm",
	Options: combinationOptions(
		Option{Name: secondsOption, Help: "a number of seconds you have in mind", Kind: Number, Unit: "s", Min: 0.1,
			Max: trade.LongestWatchS},
		pullNumber("how far the plunger is drawn, if not 0.1 mL", trade.LargestPullML),
		Option{Name: moreOption, Help: "what else can be asked about it", Kind: YesNo, Unlisted: true},
	),
	Who:     anyMember,
	Quick:   true,
	Shared:  true,
	Bearing: Bearing{Bedside: true},
	Examples: []string{
		"hold time for Orrick Mid on 27G 13 mm",
		"/hold is 5 s enough for tamsel soft on a 30G half inch",
		`/hold product:"Pellow Lip" instrument:"30G 13 mm needle"`,
	},
	Run: runHold,
}

func runHold(ctx context.Context, env *Env, call *Call) (Card, error) {
	if sides, is := call.againstEachOther(); is {
		return compareCard(ctx, env, sides)
	}
	a, evidence, err := evidenceAsked(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	if call.yes(moreOption) {
		return moreCard(evidence), nil
	}
	noteAsked(ctx, env, call, evidence.Combination)
	c := holdCard(evidence, newOutlook(evidence, calc.Seconds(a.by)), call.viewer())
	if question.AsksLeave(call.text) {
		c.Before = append(c.Before, "Whether to inject is for your training and local protocol; no figure here says it.")
	}
	return c, nil
}
