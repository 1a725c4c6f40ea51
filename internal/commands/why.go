package commands

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
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

// whyCard says what sets the pace by the model, and what would change it.
func whyCard(e *knowledge.Evidence, o outlook, p *calc.Pace) Card {
	c := Card{Title: setupTitle(e), Untested: !e.Tested}
	c.Verdict = paceWords(e, p)
	if !e.Tested {
		c.Verdict = "Nobody here has tested this."
		c.line("%s", paceWords(e, p))
	}
	if p.Factors.Ok {
		c.fact(capital(string(e.Combination.Instrument.Kind))+" and syringe", "%s as a 27G 13 mm needle",
			asLong(p.Factors.Setup))
	}
	c.fact("Gel", "%s", gelWords(p))
	c.fact("Liquid", "%s", liquidWords(e, o, p))
	if p.Own.Tested {
		c.fact("Its own tests", "as if suction were %s times the model's (%s to %s)", ratioWords(p.Own.Suction),
			ratioWords(p.Own.Low), ratioWords(p.Own.High))
	}
	for _, change := range p.Changes {
		c.fact(pacedLabel(change), "%s", pacedWords(p, change))
	}
	c.line("All calculated, for the middle of the gels that the tests leave possible.")
	c.warn("%s", wallLine(e))
	c.Actions = []Action{toAsk("what the model leaves out", methodName).with(partOption, partLimits),
		toAskAbout("the hold", holdName, e.Combination)}
	c.citeSpread(e.Spread)
	c.sayBehind(e)
	return c
}

// slows is how many times as long a tube or a gel must make it take to be said to slow it (project's choice, no
// source).
const slows = 1.5

// paceWords says in one sentence how long the model takes and what sets the pace.
func paceWords(e *knowledge.Evidence, p *calc.Pace) string {
	kind := string(e.Combination.Instrument.Kind)
	switch {
	case p.Exit.Never() && p.Held >= 1:
		return "By the model it never comes: the gel's yield stress takes up more than all of the suction in this " +
			kind + "."
	case p.Exit.Never():
		return "By the model it never comes: the suction gives out on the way."
	}
	return "By the model " + pacedSeconds(p.Exit) + ": " + slowedBy(p.Factors, kind) + "."
}

// slowedBy says what slows a combination.
func slowedBy(f calc.Factors, kind string) string {
	switch {
	case !f.Ok:
		return kind + " and gel together slow it"
	case f.Setup >= slows && f.Gel >= slows && f.Setup >= f.Gel:
		return kind + " and gel both slow it, the " + kind + " more"
	case f.Setup >= slows && f.Gel >= slows:
		return kind + " and gel both slow it, the gel more"
	case f.Setup >= slows:
		return "the " + kind + " sets the pace"
	case f.Gel >= slows:
		return "the gel sets the pace"
	}
	return "neither " + kind + " nor gel slows it much"
}

func pacedSeconds(x calc.Exit) string {
	if late(float64(x.Time)) {
		return "more than " + exactSeconds(longestTold)
	}
	return secondsWords(float64(x.Time))
}

// gelWords compares the gel with a medium one, and says what its time goes into.
func gelWords(p *calc.Pace) string {
	if p.Exit.Never() {
		return "its yield stress alone takes up " + inHundred(p.Held) + " of the suction at the start"
	}
	words := fmt.Sprintf("%s of its time flow, %s yield stress", inHundred(p.Parts.Flow), inHundred(p.Parts.Yield))
	if p.Parts.Filling >= 0.005 {
		words += ", " + inHundred(p.Parts.Filling) + " suction lost as the tube fills"
	}
	if p.Factors.Ok {
		return asLong(p.Factors.Gel) + " as a medium gel, " + words
	}
	return words
}

// inHundred is a part of a whole: "88 in 100".
func inHundred(part float64) string {
	if part < 0.005 {
		return "under 1 in 100"
	}
	return strconv.Itoa(int(math.Round(100*part))) + " in 100"
}

// asLong compares times: "5.4 times as long".
func asLong(r float64) string {
	if math.Abs(r-1) < 0.05 {
		return "about as long"
	}
	return factorWords(r) + " times as long"
}

// factorWords is a ratio of times to two digits that count.
func factorWords(r float64) string {
	if !(r > 0) || math.IsInf(r, 0) {
		return "0"
	}
	unit := math.Pow(10, math.Floor(math.Log10(r))-1)
	return trimNumber(math.Round(math.Round(r/unit)*unit*1e6) / 1e6)
}

// liquidWords says what the liquid's part is, and whether milk fairly stands in for blood, by the same measure as the
// answer on a hold.
func liquidWords(e *knowledge.Evidence, o outlook, p *calc.Pace) string {
	if p.Exit.Never() {
		return "it never gets there, neither milk nor blood"
	}
	words := inHundred(p.Parts.Liquid) + " of the time. Milk is a fair stand-in for blood"
	if !milkIsFair(e, o) || !p.Blood.Fair {
		words = inHundred(p.Parts.Liquid) + " of the time. Milk is no fair stand-in for blood"
	}
	if math.Abs(p.Blood.Ratio-1) < 0.01 {
		return words
	}
	return words + ", which takes " + factorWords(p.Blood.Ratio) + " times as long"
}

// pacedLabel names what would be done differently.
func pacedLabel(c calc.Change) string {
	switch c.Kind {
	case calc.HalfLength:
		return "Half the length"
	case calc.WiderGauge:
		return fmt.Sprintf("Next gauge up, %dG", c.Gauge)
	case calc.WiderWall:
		return "Thinner wall, " + string(c.Wall)
	case calc.TwicePull:
		return "Twice the pull, " + pullWords(c.Pull)
	case calc.WarmerMilk:
		return "Milk at " + trimNumber(float64(c.Milk)) + " °C"
	}
	return string(c.Kind)
}

// noDifference is the ratio of times above which a change is not worth a figure.
const noDifference = 0.985

// pacedWords says what the model's time would be after a change; the ratio only where the words for the two times are
// the same.
func pacedWords(p *calc.Pace, c calc.Change) string {
	after := pacedSeconds(c.Exit)
	switch {
	case p.Exit.Never() && c.Exit.Never():
		return "it would not come either"
	case p.Exit.Never():
		return "it would come, in " + after
	case c.TimeRatio > noDifference:
		return "next to no difference"
	case after == pacedSeconds(p.Exit):
		return factorWords(c.TimeRatio) + " times as long"
	}
	return after
}
