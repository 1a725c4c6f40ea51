package commands

import (
	"cmp"
	"context"
	"strings"

	"holdbench/internal/calc"
)

const (
	methodName = "holdbench method"
	partOption = "part"
)

// The parts of the short form.
const (
	partModel       = "model"
	partTests       = "tests"
	partSpread      = "spread"
	partNegative    = "negative"
	partAssumptions = "assumptions"
	partLimits      = "limits"
	partChecks      = "checks"
)

func methodParts() []string {
	return []string{partModel, partTests, partSpread, partNegative, partAssumptions, partLimits, partChecks}
}

// methodPage is where the long form stands, in the project's own folder.
const methodPage = "docs/method.md"

var methodCommand = &Command{
	Name:    methodName,
	Summary: "How the figures are made, on whose word, and what is left out: the short form",
	Help: "Without a part, the whole in a few lines. A part tells more: the model, the tests, the group's spread, " +
		"what a negative means, the assumptions, the limits, the checks. The long form, with formulas and sources, " +
		"is " + methodPage + ".",
	Free:     true,
	FreeHelp: "a part, as in: limits",
	Options:  []Option{{Name: partOption, Help: "which part", Choices: methodParts()}},
	Who:      anyMember,
	Quick:    true,
	Shared:   true,
	Alone:    true,
	Examples: []string{"/holdbench method", "/holdbench method limits"},
	Run:      runMethod,
}

func runMethod(_ context.Context, _ *Env, call *Call) (Card, error) {
	part := cmp.Or(call.value(partOption), strings.ToLower(strings.TrimSpace(call.Text)))
	parts := map[string]func(*Card){
		"": wholeMethod, partModel: methodOfModel, partTests: methodOfTests, partSpread: methodOfSpread,
		partNegative:    methodOfNegative,
		partAssumptions: methodOfAssumptions, partLimits: methodOfLimits, partChecks: methodOfChecks,
	}
	if parts[part] == nil {
		return Card{}, refuse("The parts are "+listWords(methodParts())+".", "The method has no part %s.", echo(part))
	}
	c := Card{Title: "Method"}
	if part != "" {
		c.Title += ": " + part
	}
	parts[part](&c)
	c.Sources = []string{methodPage + ", the long form: formulas, each assumption with where it comes from, the checks"}
	if part == "" {
		for _, p := range []string{partModel, partTests, partAssumptions, partLimits} {
			c.Actions = append(c.Actions, Action{Label: p,
				Request: Request{Command: methodName, Values: map[string]string{partOption: p}}, Tap: true})
		}
	}
	return c, nil
}

func wholeMethod(c *Card) {
	c.Verdict = "Bench tests first; a flow model ties them together and says how sure they are."
	c.fact("Model", "the pulled plunger sucks the gel back along the tube; liquid follows and shows at the hub. A "+
		"gel moves only above its yield stress, and thins as it flows.")
	c.fact("Tests", "every test of a gel, on any needle, narrows down which gels are possible. A slip of the pen "+
		"cannot carry it away.")
	c.fact("Reported", "the share that shows by a time with its range (8 in 10 sure), the shortest hold for the "+
		"group's target share, a verdict at the ceiling.")
	c.fact("A hold", "is advised only where enough tests by more than one member carry it: tested at that pull, "+
		"shows in time, and the target share of the tests themselves had shown by it.")
	c.fact("From where", "flow laws and bores are published; spreads, classes, trapped gas and hub length are "+
		"assumptions from memory; verdicts and targets were chosen.")
	c.fact("Left out", "what tissue does, and much of what a gel does: a finger of liquid running ahead, slip at the "+
		"wall, particles that lock.")
	c.fact("More", "/%s and %s", methodName, listWords(methodParts()))
}

func methodOfModel(c *Card) {
	c.line("Drawing the plunger back stretches the gas behind the gel: Boyle's law, down to the vapour pressure of " +
		"water. That is the suction.")
	c.line("In the tube the wall feels suction × radius / (2 × length of gel). Below the gel's yield stress nothing " +
		"moves, ever; above it the gel slides as a plug in a sheared sleeve (Herschel and Bulkley; Chhabra and " +
		"Richardson).")
	c.line("The front of the liquid is taken as flat (after Washburn). The start is slowest, when the tube is full " +
		"of gel.")
	c.line("Finer and longer is much slower: half the length can take a tenth of the time. /%s says it for a "+
		"combination.", whyName)
	c.line("Milk stands in for blood because the liquid's part of the time is small; where it is not, the answer " +
		"says so.")
}

func methodOfTests(c *Card) {
	d := calc.DefaultSpread()
	c.line("Before any test the gel's class says something, weakly and from memory. Each test then weighs every " +
		"possible gel by how well it explains it (Bayes' rule), in all combinations of the gel at once.")
	c.line("A test is an interval: film ± a frame, stopwatch ± 0.3 s, by taps ± 0.5 s, none: longer than watched. 2 " +
		"in 100 are taken for slips of the pen; what looks like one is flagged and counts for little.")
	c.line("Tests scatter as if the suction did: %s between combinations, %s between hands, %s for the rest, until "+
		"the group's own repeats say better. One combination in twenty is taken to be unlike the gel's others. Tests "+
		"by one hand share it.",
		inHundred(d.Combination), inHundred(d.Tester), inHundred(d.Rest))
	c.line("Nothing is left to chance: the same tests give the same answer in any order. Where counts and estimate " +
		"disagree the tests come first.")
	c.line("Beside it stand the counts alone, with exact limits: /%s.", testsName)
}

func methodOfSpread(c *Card) {
	c.line("Repeatability is how far one tester's repeats of a combination and pull lie apart, reproducibility how " +
		"far tests by different testers do (ISO 5725-2, on the logarithm of the time).")
	c.line("From %d repeats in %d combinations on, the group's own spread is learned from the whole log and replaces "+
		"the assumed one, within half to twice of it. Each is a numbered version, and every answer says which of the "+
		"two it stands on.",
		calc.RepeatsNeeded, calc.RepeatedCombinationsNeeded)
	c.line("A tester differs when the limits at %s leave no difference out. Of testers who do the same, 1 to 4 in "+
		"100 are said to by chance.", testersSure)
	c.line("Tests without flashback cannot be repeated in time: they are left out of this and counted. /%s has the "+
		"group's figures.", spreadName)
}

func methodOfNegative(c *Card) {
	c.line("If a share a of placements is in a vessel and a share s of those shows by the hold, then after no " +
		"flashback the chance is a(1 − s) / (a(1 − s) + 1 − a). Bayes' rule, in whole placements.")
	c.line("The assumption a is yours: nobody knows it for you. s comes from the bench and is the best case; no more "+
		"than %s is ever taken.", inHundred(mostTaken))
	c.line("False flashbacks are taken as none. Where nothing shows, waiting changes nothing, and the answer says "+
		"so: /%s.", negativeName)
	c.line("Hours a year: hold × placements a day × days; %d and %d are taken where none are said (chosen).",
		calc.UsualPlacementsPerDay, calc.UsualDaysPerYear)
}

func methodOfAssumptions(c *Card) {
	c.fact("Bore", "the measured one, or the minimum of ISO 9626 for gauge and wall (published; some gauges from "+
		"memory); a mixture of the wall classes where none is on record (memory)")
	c.fact("Hub", "%s mm of the tube held inside it (memory)", trimNumber(round3(calc.HubLength.Millimetres())))
	c.fact("Trapped gas", "%s mL, or %s mL in a fixed-needle syringe (memory)",
		trimNumber(round3(calc.SuppliedGas.Millilitres())), trimNumber(round3(calc.FixedNeedleGas.Millilitres())))
	c.fact("Pull", "%s where none is on record (memory)", pullWords(calc.DefaultPull))
	c.fact("Spreads, slips, gel classes", "memory, weak on purpose; replaced or moved by the group's tests")
	c.fact("Stopwatch", "± 0.3 s (practice)")
	c.fact("Verdicts, target, repeats needed", "chosen")
	c.line("The first to doubt: trapped gas and hub length, which nobody measured; then the spreads before they are " +
		"learned; then the class, where a gel has few tests.")
}

func methodOfLimits(c *Card) {
	c.Verdict = "None of it is safety."
	c.fact("The model leaves out", "a finger of liquid that runs ahead and a film on the wall (sooner by up to about "+
		"half), slip at the wall, particles that lock in a narrow bore, recoil, stopper friction, the gel's "+
		"temperature.")
	c.fact("The bench leaves out", "gel in the tissue at the tip, a tip against the vessel's wall, a vein that "+
		"collapses, movement. So the bench is the best case.")
	c.fact("If tests scatter more than assumed", "the ranges are too narrow and holds too short: repeat tests.")
	c.fact("If one hand made all tests", "nothing tells it from the others', and no hold is advised unless the group "+
		"allows it. Let a second member test.")
	c.fact("If a hand times too fast", "the answers do not notice; comparing testers does, not always.")
	c.fact("If a bore is recorded wrongly", "its combination departs from the model; measure it.")
}

func methodOfChecks(c *Card) {
	c.line("Flow: worked examples of handbooks. Exit times and estimates: SciPy, NumPy and a general-purpose sampler " +
		"that share no code with this. Counts and spread: R and printed tables.")
	c.line("Calibration: over a thousand simulated gels the truth lies where the estimate says, as often as it says. " +
		"On the demo log with one combination left out, its counts agree with the limits in 24 of 25.")
	c.line("The demo is invented and drawn from the model: that shows that the sum is right, not that gels obey it. " +
		"Only your tests can.")
	c.line("Anybody can run the checks again: go test ./... and make calibrate; figures in docs/calibration.md.")
}
