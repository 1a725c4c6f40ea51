package main

import (
	"context"
	"fmt"
	"io"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

func learnSubcommand() subcommand {
	return subcommand{name: "learn", summary: "learn from the log now how far the group's own tests vary; the bot " +
		"does so by itself about once a day", run: runLearn}
}

// runLearn learns the spread of the local room's community.
func runLearn(ctx context.Context, call *invocation) error {
	if len(call.args) > 0 {
		return misused("learn takes nothing")
	}
	return call.withCommunity(ctx, func(c *community) error {
		o, err := c.group.LearnSpreadsNow(ctx)
		if err != nil {
			return err
		}
		return writeLearned(call.stdout, o)
	})
}

// writeLearned prints whether the group's own spread or the defaults are in force, and why.
func writeLearned(out io.Writer, o knowledge.SpreadOutcome) error {
	var err error
	switch {
	case !o.Looked:
		_, err = fmt.Fprintln(out, "Another program on this store is learning just now.")
	case o.TooFew != nil:
		_, err = fmt.Fprintf(out, "Estimates stand on the defaults: there are %d repeats by the same tester in %d "+
			"combinations, it takes %d in %d.\n",
			o.TooFew.Repeats, o.TooFew.Combinations, calc.RepeatsNeeded, calc.RepeatedCombinationsNeeded)
	default:
		err = writeOwnSpread(out, o.InForce.Learned)
	}
	return err
}

func writeOwnSpread(out io.Writer, l calc.LearnedSpread) error {
	if _, err := fmt.Fprintf(out, "Estimates stand on your group's own spread, from %d repeats in %d combinations by "+
		"%d testers.\n",
		l.Repeats, l.RepeatedCombinations, l.Testers); err != nil {
		return err
	}
	d := calc.DefaultSpread()
	for _, s := range []struct {
		of       string
		found    calc.Statistic
		standard float64
	}{{"between combinations", l.Combination, d.Combination}, {"between testers", l.Tester, d.Tester},
		{"the rest", l.Rest, d.Rest}} {
		if _, err := fmt.Fprintf(out, "  %-21s %2.0f %%, %.0f to %.0f (default %.0f)\n", s.of, 100*s.found.Value,
			100*s.found.Low, 100*s.found.High, 100*s.standard); err != nil {
			return err
		}
	}
	if _, err := fmt.Fprintf(out, "Of the suction, as a standard deviation; limits at %.0f %%.\n",
		100*calc.LearnedConfidence); err != nil {
		return err
	}
	for _, remark := range l.Warnings {
		if _, err := fmt.Fprintln(out, remark); err != nil {
			return err
		}
	}
	return nil
}
