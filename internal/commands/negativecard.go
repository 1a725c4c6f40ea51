package commands

import (
	"fmt"
	"math"

	"holdbench/internal/calc"
	"holdbench/internal/say"
)

// negativeCard says what no flashback is worth, in whole placements. It never calls a hold advised that is not, and
// never says that no chance is left.
func negativeCard(n negative) Card {
	e := n.evidence
	c := Card{Title: setupTitle(e), Untested: !e.Tested}
	show, chance := "show", "In a vessel after no flashback"
	lines := n.verdict()
	if !e.Tested {
		show = "would show"
		lines = append([]string{"Nobody here has tested this."}, lines...)
	}
	c.Verdict = lines[0]
	for _, line := range lines[1:] {
		c.line("%s", line)
	}
	if e.State != calc.StateHold {
		chance = "With a wait of " + exactSeconds(float64(n.hold)) + " all the same, in a vessel"
	}
	c.fact("Of "+say.Grouped(n.best.Placements)+" placements", "%s in a vessel, as you assume; by %s %s",
		say.Grouped(n.best.InVessel), exactSeconds(float64(n.hold)), n.countsWords(show))
	c.fact(chance, "%s at best%s; before, %s", say.Chance(n.best.ChanceInVessel), n.rangeOfChance(), n.assumed.Words())
	if n.alone != nil {
		c.fact("The tests alone", "%s", n.aloneWords())
	}
	if n.outlook.byAsked.Mean > mostTaken {
		c.line("More than 99 in 100 is never taken to show: that would need %d tests without a miss.", testsForMost)
	}
	c.line("%s is %s. The bench is the best case: tissue can only lower what shows. Every flashback is taken as true.",
		exactSeconds(float64(n.hold)), n.from)
	yearFacts(&c, n)
	c.Actions = append(c.Actions, toAskAbout("the hold", holdName, e.Combination))
	holdWarnings(&c, e, n.outlook)
	c.citeSpread(e.Spread)
	c.sayBehind(e)
	c.Figures = negativeFigures(n)
	return c
}

// Shares by the hold below which a negative says nothing that counts, and below which none is said to show (project's
// choice).
const (
	tooFewShow = 0.05
	noneShow   = 0.005
)

// verdict is the answer, one sentence a line. Where no hold is usable it leaves out the chance, which the card then
// says further down. Where the test changes nothing it says so.
func (n negative) verdict() (lines []string) {
	share, would := n.outlook.byAsked.Mean, ""
	if !n.evidence.Tested {
		would = "would "
	}
	by, usable := exactSeconds(float64(n.hold)), n.evidence.State == calc.StateHold
	if !usable {
		lines = append(lines, "No hold is usable here, so a negative tells little.")
	}
	switch {
	case n.best.ChangesNothing || share < noneShow:
		lines = append(lines, fmt.Sprintf("The test changes nothing: none %sshow by %s, so after no flashback it is "+
			"%s in a vessel as before.", would, by, n.assumed.Words()))
	case share < tooFewShow:
		lines = append(lines, fmt.Sprintf("The test changes nothing that counts: %s %sshow by %s, so after no "+
			"flashback it is still about %s in a vessel.", shareWords(share), would, by, n.assumed.Words()))
	case usable:
		lines = append(lines, fmt.Sprintf("No flashback in %s leaves %s in a vessel at best; it was %s.", by,
			say.Chance(n.best.ChanceInVessel), n.assumed.Words()))
	}
	return lines
}

// countsWords says how many of those in a vessel show by the hold and how many do not, with the range of the estimate.
func (n negative) countsWords(show string) string {
	words := fmt.Sprintf("%s %s, %s", say.Grouped(n.best.Shown), show, doNot(n.best, show))
	if n.low.Shown == n.high.Shown {
		return words
	}
	return words + fmt.Sprintf(" (range %s to %s %s)", say.Grouped(n.low.Shown), say.Grouped(n.high.Shown), show)
}

// doNot says how many stay hidden. It never says none: some always do.
func doNot(b calc.NoFlashback, show string) string {
	verb, one := "do not", "does not"
	if show == "would show" {
		verb, one = "would not", "would not"
	}
	switch {
	case b.Hidden == 0:
		return "fewer than 1 " + one
	case b.Hidden == 1:
		return "1 " + one
	}
	return say.Grouped(b.Hidden) + " " + verb
}

// rangeOfChance is the range of the chance, "" where both limits read the same.
func (n negative) rangeOfChance() string {
	low, high := say.Chance(n.high.ChanceInVessel), say.Chance(n.low.ChanceInVessel)
	if low == high {
		return ""
	}
	return " (range " + high + " to " + low + ")"
}

// aloneWords is what the tests say without the model, and the chance that this leaves: more than by the estimate,
// because they are few.
func (n negative) aloneWords() string {
	a := n.alone
	low, high := say.Chance(a.low), say.Chance(a.high)
	words := fmt.Sprintf("%d of %d shown by %s: %s to %s, 19 times in 20; ", a.shown.Events, a.shown.N,
		exactSeconds(float64(n.hold)), shareWords(a.shown.Low), shareWords(a.shown.High))
	switch {
	case a.low < 1/float64(math.MaxInt32):
		return words + "so few could leave " + high
	case low == high:
		return words + "that leaves " + high
	}
	return words + "that could leave " + high + " to " + low
}

// negativeAnswer is an answer to /explain negative for a program.
type negativeAnswer struct {
	State      string       `json:"state"`
	Product    string       `json:"product"`
	Instrument string       `json:"instrument"`
	Syringe    string       `json:"syringe"`
	Assumed    float64      `json:"assumed"` // share of placements in a vessel
	HoldS      float64      `json:"hold_s"`
	Share      shareFigures `json:"share"`
	Placements int          `json:"placements"`
	InVessel   int          `json:"in_vessel"`
	Shown      int          `json:"shown"`
	Hidden     int          `json:"hidden"`
	After      shareFigures `json:"after"` // chance in a vessel after no flashback
	Hours      float64      `json:"hours_a_year"`
	StockHours *float64     `json:"stock_hours_a_year"` // null, like the next, where no working year was given
	ForNothing *float64     `json:"stock_hours_for_nothing"`
	Spread     string       `json:"spread"`
	Warnings   []string     `json:"warnings"`
	Caveats    []string     `json:"caveats"`
}

func (f negativeAnswer) with(warnings, caveats []string) figures {
	f.Warnings, f.Caveats = append([]string{}, warnings...), caveats
	return f
}

func negativeFigures(n negative) negativeAnswer {
	e, share := n.evidence, n.outlook.byAsked
	f := negativeAnswer{
		State: stateUntested, Product: e.Combination.Product.Name, Instrument: e.Combination.Instrument.Name(),
		Syringe: e.Combination.Syringe.Name,
		Assumed: n.assumed.Share, HoldS: float64(n.hold), Spread: spreadOrigin(e.Spread),
		Share:      shareOf(share),
		Placements: n.best.Placements, InVessel: n.best.InVessel, Shown: n.best.Shown, Hidden: n.best.Hidden,
		After: shareFigures{ByS: float64(share.By), Mean: n.best.ChanceInVessel, Low: n.high.ChanceInVessel,
			High: n.low.ChanceInVessel},
		Hours: round3(n.year.here.Total),
	}
	if n.year.parts > 0 {
		f.StockHours, f.ForNothing = new(round3(n.year.stock.Total)), new(round3(n.year.stock.NothingExpected))
	}
	if e.Tested {
		f.State = stateTested
	}
	return f
}
