package commands

// The caveats, in words short enough for a phone. They are added by Answer; no
// command adds, drops or rewords one.
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
