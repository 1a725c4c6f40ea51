package commands

import (
	"context"

	"holdbench/internal/say"
)

// caveats is what a card that bears on this must carry. They are added by Answer; no
// command adds, drops or rewords one.
func caveats(on Bearing, card Card) []string {
	list := []string{say.CaveatNegative, say.CaveatBench, say.CaveatSetup, say.CaveatFirst}
	if card.Untested {
		list = append([]string{say.CaveatUntested}, list...)
	}
	if on.Bedside {
		list = append(list, say.CaveatOcclusion)
	}
	if on.Bench {
		list = append(list, say.CaveatBenchWork)
	}
	return list
}

// brief is caveats in at most forty words, in one line. It is nil where there would be
// more: what bears on the bench and on a patient at once has them in full.
func brief(on Bearing, card Card) []string {
	words := say.BriefAlways
	if card.Untested {
		words = say.BriefUntested + " " + words
	}
	switch {
	case on.Bedside && on.Bench:
		return nil
	case on.Bedside:
		words += " " + say.BriefBedside
	case on.Bench:
		words += " " + say.BriefBench
	}
	return []string{words}
}

const caveatsName = "holdbench caveats"

var caveatsCommand = &Command{
	Name:     caveatsName,
	Summary:  "What no answer of this tool says or replaces, in full",
	Help:     "The caveats that every answer carries in short.",
	Who:      anyMember,
	Quick:    true,
	Bearing:  Bearing{Bench: true, Bedside: true},
	Alone:    true,
	Examples: []string{"/holdbench caveats"},
	Run: func(context.Context, *Env, *Call) (Card, error) {
		return Card{Title: "What goes with every answer"}, nil
	},
}

// SmallPrint is the caveats as they stand under a Card.
func (c Card) SmallPrint() []string {
	if c.Brief != nil {
		return c.Brief
	}
	return c.Caveats
}

// InFull is a Card with its caveats in full, for where others read along.
func (c Card) InFull() Card {
	c.Brief = nil
	return c
}

// InFullAction offers the caveats of a Card in full.
func InFullAction() Action {
	return Action{Label: "caveats in full", Request: Request{Command: caveatsName}}
}
