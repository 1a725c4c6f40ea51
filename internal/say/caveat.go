package say

// The caveats in full: for answers that a whole channel reads, and for what is posted unasked,
// exported or drawn.
const (
	CaveatNegative = "No flashback does not mean the tip is outside a vessel."
	CaveatBench    = "Bench figures are the best case; tissue is not the bench."
	CaveatSetup    = "They hold for the set-up tested, not for a similar one."
	CaveatFirst    = "Local protocol, the product's instructions and your own licence and judgement come first. " +
		"Aspiration is one step among others: anatomy, slow small amounts, watching the skin, " +
		"a cannula where suited, an emergency plan and reversal agent to hand."

	CaveatUntested  = "Untested: this is a calculation, not a test."
	CaveatOcclusion = "On suspicion of an occlusion: stop and follow the local emergency protocol; this tool is no " +
		"guide to it."

	CaveatBenchWork = "Nothing that has been on the bench goes near a patient: mark it so. " +
		"Bench liquid only, never your own or anybody's blood. Sharps straight into the container, no recapping. " +
		"Expired or leftover gel only."
)

// The same points in few words, for answers that the asker alone reads: short text is read.
const (
	BriefUntested = "A calculation, not a test."
	BriefAlways   = "No flashback does not mean outside a vessel. Bench is the best case, this set-up only. " +
		"Local protocol, product instructions, licence and judgement first."
	BriefBedside = "Occlusion suspected: stop, local emergency protocol; this tool is no guide."
	BriefBench   = "Marked, never near a patient; bench liquid, no blood; sharps into the container; leftover gel only."
)
