package commands

import "context"

// The caveats in full, as they stand where a channel reads along, in what is posted
// unasked, exported or drawn. They are added by Answer; no command adds, drops or
// rewords one.
const (
	caveatNegative = "No flashback does not mean the tip is outside a vessel."
	caveatBench    = "Bench figures are the best case; tissue is not the bench."
	caveatSetup    = "They hold for the set-up tested, not for a similar one."
	caveatFirst    = "Local protocol, the product's instructions and your own licence and judgement come first. " +
		"Aspiration is one step among others: anatomy, slow small amounts, watching the skin, " +
		"a cannula where suited, an emergency plan and reversal agent to hand."

	caveatUntested  = "Untested: this is a calculation, not a test."
	caveatOcclusion = "On suspicion of an occlusion: stop and follow the local emergency protocol; this tool is no guide to it."

	caveatMarked   = "Nothing that has been on the bench goes near a patient: mark it so."
	caveatLiquid   = "Bench liquid only, never your own or anybody's blood."
	caveatSharps   = "Sharps straight into the container, no recapping."
	caveatLeftover = "Expired or leftover gel only."
)

// caveats is what a card that bears on this must carry.
func caveats(on Bearing, card Card) []string {
	list := []string{caveatNegative, caveatBench, caveatSetup, caveatFirst}
	if card.Untested {
		list = append([]string{caveatUntested}, list...)
	}
	if on.Bedside {
		list = append(list, caveatOcclusion)
	}
	if on.Bench {
		list = append(list, caveatMarked, caveatLiquid, caveatSharps, caveatLeftover)
	}
	return list
}

// The same points in few words, for the asker alone: what is short is read.
const (
	briefUntested = "A calculation, not a test."
	briefAlways   = "No flashback does not mean outside a vessel. Bench is the best case, this set-up only. " +
		"Local protocol, product instructions, licence and judgement first."
	briefBedside = "Occlusion suspected: stop, local emergency protocol; this tool is no guide."
	briefBench   = "Marked, never near a patient; bench liquid, no blood; sharps into the container; leftover gel only."
)

// brief is caveats in at most forty words, in one line. It is nil where there would be
// more: what bears on the bench and on a patient at once has them in full.
func brief(on Bearing, card Card) []string {
	words := briefAlways
	if card.Untested {
		words = briefUntested + " " + words
	}
	switch {
	case on.Bedside && on.Bench:
		return nil
	case on.Bedside:
		words += " " + briefBedside
	case on.Bench:
		words += " " + briefBench
	}
	return []string{words}
}

const caveatsName = "holdbench caveats"

var caveatsCommand = &Command{
	Name:     caveatsName,
	Summary:  "What no answer of this tool says or replaces, in full",
	Help:     "The caveats that every answer carries in short.",
	Who:      anyMember,
	Bearing:  Bearing{Bench: true, Bedside: true},
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
