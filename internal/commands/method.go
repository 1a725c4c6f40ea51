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

// The parts of the short form that other cards name.
const (
	partSpread = "spread"
	partLimits = "limits"
)

// methodPart is a part of the short form; brief is one that the whole has a button for.
type methodPart struct {
	name  string
	brief bool
	tell  func(*Card)
}

func methodParts() []methodPart {
	return []methodPart{
		{"model", true, methodOfModel}, {"tests", true, methodOfTests}, {partSpread, false, methodOfSpread},
		{"negative", false, methodOfNegative}, {"assumptions", true, methodOfAssumptions},
		{partLimits, true, methodOfLimits}, {"checks", false, methodOfChecks},
	}
}

func methodPartNames() (names []string) {
	for _, p := range methodParts() {
		names = append(names, p.name)
	}
	return names
}

// methodPage is the long form, in the project's own folder.
const methodPage = "docs/method.md"

var methodCommand = &Command{
	Name:    methodName,
	Summary: "How the figures are made, where they come from, and what is left out: the short form",
	Help: "Without a part, the whole in a few lines. A part says more: the model, the tests, the group's spread, " +
		"what a negative means, the assumptions, the limits, the checks. The long form, with formulas and sources, " +
		"is " + methodPage + ".",
	Free:     true,
	FreeHelp: "a part, as in: limits",
	Options:  []Option{{Name: partOption, Help: "which part", Choices: methodPartNames()}},
	Who:      anyMember,
	Quick:    true,
	Shared:   true,
	Alone:    true,
	Examples: []string{"/holdbench method", "/holdbench method limits"},
	Run:      runMethod,
}

func runMethod(_ context.Context, _ *Env, call *Call) (Card, error) {
	part := cmp.Or(call.value(partOption), strings.ToLower(strings.TrimSpace(call.Text)))
	c := Card{Title: "Method"}
	c.Sources = []string{methodPage + ", the long form: formulas, each assumption with where it comes from, the checks"}
	if part == "" {
		wholeMethod(&c)
		for _, p := range methodParts() {
			if p.brief {
				c.Actions = append(c.Actions, Action{Label: p.name, Tap: true,
					Request: Request{Command: methodName}.with(partOption, p.name)})
			}
		}
		return c, nil
	}
	for _, p := range methodParts() {
		if p.name == part {
			c.Title += ": " + part
			p.tell(&c)
			return c, nil
		}
	}
	return Card{}, refuse("The parts are "+listWords(methodPartNames())+".", "The method has no part %s.", echo(part))
}

func wholeMethod(c *Card) {
	c.Verdict = "Bench tests first; a flow model ties them together and says how sure they are."
	c.fact("Model", "the pulled plunger sucks the gel back along the tube; liquid follows and shows at the hub. A "+
		"gel moves only above its yield stress, and thins as it flows.")
	c.fact("Tests", "every test of a gel, on any needle, narrows down which gels are possible. One typing slip cannot "+
		"mislead the estimate.")
	c.fact("Reported", "the share that shows by a time with its range (8 in 10 sure), the shortest hold for the "+
		"group's target share, a verdict at the ceiling.")
	c.fact("A hold", "is advised only where enough tests by more than one member support it: tested at that pull, "+
		"shows in time, and the target share of the tests themselves had shown by it.")
	c.fact("From where", "flow laws and bores are published; spreads, classes, trapped gas and hub length are "+
		"assumptions from memory; verdicts and targets were chosen.")
	c.fact("Left out", "what tissue does, and much of what a gel does: a finger of liquid running ahead, slip at the "+
		"wall, particles that lock.")
	c.fact("More", "/%s and %s", methodName, listWords(methodPartNames()))
}

func methodOfModel(c *Card) {
	c.line("Drawing the plunger back stretches the gas behind the gel: Boyle's law, down to the vapour pressure of " +
		"water. That is the suction.")
	c.line("In the tube the wall feels suction × radius / (2 × length of gel). Below the gel's yield stress nothing " +
		"moves, ever; above it the gel slides as a plug in a sheared sleeve (Herschel and Bulkley; Chhabra and " +
		"Richardson).")
	c.line("The front of the liquid is taken as flat (after Washburn). The start is slowest, when the tube is full " +
		"of gel.")
	c.line("Finer and longer is much slower: half the length can take a tenth of the time. /%s computes it for a "+
		"combination.", whyName)
	c.line("Milk stands in for blood because the liquid's part of the time is small; where it is not, the answer " +
		"says so.")
}

func methodOfTests(c *Card) {
	d := calc.DefaultSpread()
	c.line("Before any test the gel's class gives a weak first guess, from memory. Each test then weighs every " +
		"possible gel by how well that gel explains it (Bayes' rule), on all combinations of the gel at once.")
	c.line("A test is an interval: film ± a frame, stopwatch ± 0.3 s, by taps ± 0.5 s, none: longer than watched. " +
		"2 in 100 are taken to be typing slips; what looks like one is flagged and counts for little.")
	c.line("Tests scatter as if the suction did: %s between combinations, %s between hands, %s for the rest, until "+
		"the group's own repeats tell better. One combination in twenty is taken to be unlike the gel's others. All "+
		"tests by one hand share its part.", inHundred(d.Combination), inHundred(d.Tester), inHundred(d.Rest))
	c.line("There is no random sampling: the same tests give the same answer in any order. Where counts and estimate " +
		"disagree, the tests come first.")
	c.line("/%s also gives the counts alone, with exact limits.", testsName)
}

func methodOfSpread(c *Card) {
	c.line("Repeatability is how far apart one tester's repeats of a combination and pull are, reproducibility how " +
		"far apart tests by different testers are (ISO 5725-2, on the logarithm of the time).")
	c.line("From %d repeats in %d combinations on, the group's own spread is learned from the whole log and replaces "+
		"the assumed one, within half to twice of it. Each is a numbered version, and every explanation says which "+
		"of the two it uses.", calc.RepeatsNeeded, calc.RepeatedCombinationsNeeded)
	c.line("A tester differs when the limits at %s exclude equal times. Of testers who work alike, 1 to 4 in 100 "+
		"are said to differ by chance.", testersSure)
	c.line("Tests without flashback have no time to compare: they are left out of this and counted. /%s has the "+
		"group's figures.", spreadName)
}

func methodOfNegative(c *Card) {
	c.line("If a share a of placements is in a vessel and a share s of those shows by the hold, then after no " +
		"flashback the chance is a(1 − s) / (a(1 − s) + 1 − a). Bayes' rule, in whole placements.")
	c.line("The assumption a is yours: nobody knows it for you. s comes from the bench and is the best case; no more "+
		"than %s is ever taken.", inHundred(mostTaken))
	c.line("Every flashback is taken as true. Where nothing shows, waiting changes nothing, and /%s says so.",
		negativeName)
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
	c.line("Doubt first: trapped gas and hub length, which nobody measured; then the spreads before they are " +
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
	c.fact("If one hand made all tests", "its way of testing cannot be told from the gel, and no hold is advised "+
		"unless the group allows it. Let a second member test.")
	c.fact("If a hand times too fast", "the answers do not notice it; comparing testers does, but not always.")
	c.fact("If a bore is recorded wrongly", "its combination departs from the model; measure it.")
}

func methodOfChecks(c *Card) {
	c.line("Flow: worked examples of handbooks. Exit times and estimates: SciPy, NumPy and a general-purpose sampler " +
		"that share no code with this. Counts and spread: R and printed tables.")
	c.line("Calibration: over a thousand simulated gels the truth is within the stated range as often as stated. On " +
		"the demo log, with one combination left out at a time, its counts agree with the limits in 24 of 25.")
	c.line("The demo is invented and drawn from the model: that shows that the computation is right, not that gels " +
		"obey the model. Only your tests can.")
	c.line("Anybody can run the checks again: go test ./... and make calibrate; figures in docs/calibration.md.")
}
