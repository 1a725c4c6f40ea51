package commands

import (
	"context"

	"holdbench/internal/say"
)

// caveats are what a card with this bearing must carry. Answer adds them; no command adds, drops or rewords one.
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

// brief is the caveats in one line of at most forty words. It is nil for a card that bears on both bench and bedside:
// that takes more words, so it carries them in full.
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
	Help:     "The caveats that every answer carries in brief.",
	Who:      anyMember,
	Quick:    true,
	Bearing:  Bearing{Bench: true, Bedside: true},
	Alone:    true,
	Examples: []string{"/holdbench caveats"},
	Run: func(context.Context, *Env, *Call) (Card, error) {
		return Card{Title: "What applies to every answer"}, nil
	},
}

// SmallPrint is the caveats as a surface shows them under a Card.
func (c Card) SmallPrint() []string {
	if c.Brief != nil {
		return c.Brief
	}
	return c.Caveats
}

// InFull is a Card with its caveats in full, for a place where others read it too.
func (c Card) InFull() Card {
	c.Brief = nil
	return c
}

// InFullAction offers the caveats in full.
func InFullAction() Action { return toAsk("caveats in full", caveatsName) }
