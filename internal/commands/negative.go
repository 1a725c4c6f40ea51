package commands

import (
	"context"
	"errors"
	"regexp"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/assumption"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	negativeName     = "explain negative"
	assumedOption    = "assumed"
	placementsOption = "placements"
	daysOption       = "days"
)

var negativeCommand = &Command{
	Name:    negativeName,
	Summary: "What no flashback is worth, by your own assumption of how many placements are in a vessel",
	Help: "Say how many placements you assume to have the tip in a vessel, as in 1 in 200. Nobody knows it for you, " +
		"so none is suggested. The answer counts whole placements, with the share that shows on the bench by the " +
		"hold as the best case, and the hours a year that the wait takes.",
	Free:     true,
	FreeHelp: "the combination and your assumption, as in: orrick mid 30G 13 mm, 1 in 200",
	Options: append([]Option{
		{Name: assumedOption, Help: "your assumption: placements with the tip in a vessel, as in 1 in 200 or 0.5 %"},
	}, combinationOptions(
		Option{Name: secondsOption, Help: "the hold, if not the one advised or else the group's ceiling", Kind: Number,
			Unit: "s", Min: 0.1, Max: trade.LongestWatchS},
		pullNumber("how far the plunger is drawn, if not 0.1 mL", trade.LargestPullML),
		Option{Name: placementsOption, Help: "placements on a working day, if not 10", Kind: Whole, Min: 1, Max: 1000},
		Option{Name: daysOption, Help: "working days a year, if not 200", Kind: Whole, Min: 1, Max: 366},
	)...),
	Who:     anyMember,
	Shared:  true,
	Bearing: Bearing{Bedside: true},
	Examples: []string{
		"/explain negative orrick mid 27G 13 mm, 1 in 200",
		`/explain negative assumed:"0.5 %" product:"Pellow Lip" instrument:"30G 13 mm needle" placements:12`,
	},
	Plain: assumedInWords,
	Run:   runNegative,
}

// asksWhatANegativeMeans is the beginning of a typed line that asks what no flashback is worth; the rest names the
// combination and the assumption.
var asksWhatANegativeMeans = regexp.MustCompile(`(?i)^(?:so,? )?` +
	`(?:what (?:does|do|would|is|can)|how much (?:does|is|can)) (?:a |an |my |one )?` +
	`(?:negative(?: aspiration| aspirate| result| test| pull)?|no flashback) (?:mean|worth|tell)(?: me| us)?` +
	`(?: if\b| for\b| on\b| with\b| about\b|[,:?]|$)`)

func runNegative(ctx context.Context, env *Env, call *Call) (Card, error) {
	var assumed assumption.Assumption
	if typed := call.value(assumedOption); typed != "" {
		var err error
		if assumed, err = assumption.Read(typed); err != nil {
			return Card{}, assumptionFault(err)
		}
	}
	if questionText(call) == "" {
		return Card{}, refuse("Write for example "+call.example()+".", "A negative with which gel, on which needle "+
			"or cannula?")
	}
	if assumed.Share == 0 {
		return Card{}, refuse("Add your own assumption, as in 1 in 200 or 0.5 %. Nobody knows it for you, so none is "+
			"suggested.", "How many placements do you assume to have the tip in a vessel?")
	}
	a, evidence, err := evidenceAsked(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	noteAsked(ctx, env, call, evidence.Combination)
	n, err := newNegative(evidence, assumed, calc.Seconds(a.by))
	if err != nil {
		return Card{}, err
	}
	if n.year, err = workYearOf(ctx, env, call, n); err != nil {
		return Card{}, err
	}
	return negativeCard(n), nil
}

// assumedInWords takes the assumption out of the free text. If the option is given, it moves what is no part of an
// assumption to the text: without quotation marks the option takes in the words that follow it.
func assumedInWords(_ context.Context, _ *Env, call *Call) error {
	typed := call.Values[assumedOption]
	if typed == "" {
		a, rest, found, err := assumption.Cut(call.text)
		if found && err == nil {
			call.take(assumedOption, a.Said)
			call.text = rest
		}
		return assumptionFault(err)
	}
	if _, err := assumption.Read(typed); err != nil {
		if a, rest, found, _ := assumption.Cut(typed); found && rest != "" {
			call.Values[assumedOption], call.text = a.Said, strings.TrimSpace(rest+" "+call.text)
		}
	}
	return nil
}

// assumptionFault turns what is wrong with an assumption into a *UserError.
func assumptionFault(err error) error {
	if p, is := errors.AsType[*assumption.Problem](err); is {
		return refuse(p.Hint, "%s", p.What)
	}
	return err
}

// asAsked is where a hold comes from that the asker named.
const asAsked = "as you asked"

// negative is what no flashback is worth on one combination.
type negative struct {
	evidence *knowledge.Evidence
	outlook  outlook // by the hold
	assumed  assumption.Assumption

	hold calc.Seconds
	from string // where the hold comes from

	best      calc.NoFlashback // by the mean share
	low, high calc.NoFlashback // by its limits
	alone     *testsAlone      // nil where the tests by themselves say nothing
	year      workYear
}

// mostTaken is the largest share that is taken to show by a hold. An estimate may be closer to 1, but no group's tests
// support more, and a negative must not be read as a proof: at 95 % confidence it would take testsForMost tests without
// a miss (calc.SuccessRun; the limit itself is the project's choice).
const (
	mostTaken    = 0.99
	testsForMost = 299
)

// newNegative computes it; asked is the hold that was named, 0 for none.
func newNegative(e *knowledge.Evidence, assumed assumption.Assumption, asked calc.Seconds) (n negative, err error) {
	n = negative{evidence: e, assumed: assumed, hold: e.Ceiling, from: "the group's ceiling, as no hold is advised"}
	switch {
	case asked > 0:
		n.hold, n.from = asked, asAsked
	case e.State == calc.StateHold:
		n.hold, n.from = calc.Seconds(e.Advice.Seconds), "the hold advised"
	}
	n.outlook = newOutlook(e, n.hold)
	share := n.outlook.byAsked
	placements := placementsFor(assumed.Share, min(share.Mean, mostTaken))
	for _, c := range []struct {
		into *calc.NoFlashback
		s    float64
	}{{&n.best, share.Mean}, {&n.low, share.Low}, {&n.high, share.High}} {
		if *c.into, err = calc.AfterNoFlashback(placements, assumed.Share, min(c.s, mostTaken)); err != nil {
			return n, err
		}
	}
	n.alone, err = aloneBy(e, n.hold, assumed)
	return n, err
}

// placementsFor is how many placements the answer counts: enough that some are in a vessel, and that those which do not
// show are not rounded to 0.
func placementsFor(inVessel, shown float64) int {
	const (
		fewest, most  = 10_000, 100_000_000
		enough        = 20 // in a vessel
		mostForHidden = 1_000_000
	)
	n := fewest
	for n < most && float64(n)*inVessel < enough {
		n *= 10
	}
	for n < mostForHidden && float64(n)*inVessel*(1-shown) < 0.5 {
		n *= 10
	}
	return n
}

// testsAlone is what the combination's tests say of a hold by themselves.
type testsAlone struct {
	shown     calc.Statistic
	low, high float64 // chance in a vessel after no flashback, at the limits of shown
}

// aloneBy counts the tests that were watched for as long as the hold; nil where there are none.
func aloneBy(e *knowledge.Evidence, hold calc.Seconds, assumed assumption.Assumption) (*testsAlone, error) {
	shown, n := 0, 0
	for t := range e.Tests.All() {
		if !t.None && t.Seconds <= float64(hold) {
			shown++
		}
		if !t.None || t.WatchedS >= float64(hold) {
			n++
		}
	}
	if n == 0 {
		return nil, nil
	}
	a := &testsAlone{}
	var err error
	if a.shown, err = calc.ClopperPearson(shown, n, 0.95); err != nil {
		return nil, err
	}
	for into, s := range map[*float64]float64{&a.low: a.shown.High, &a.high: a.shown.Low} {
		after, err := calc.AfterNoFlashback(1, assumed.Share, s)
		if err != nil {
			return nil, err
		}
		*into = after.ChanceInVessel
	}
	return a, nil
}

// restOfNegative is what follows the words that ask what a negative means; ok is false for a line without them.
func restOfNegative(line string) (rest string, ok bool) {
	at := asksWhatANegativeMeans.FindStringIndex(line)
	if at == nil {
		return "", false
	}
	return strings.Trim(line[at[1]:], " ,:?"), true
}

// namesAssumption reports whether a text names an assumption, possible or not.
func namesAssumption(text string) bool {
	_, _, found, err := assumption.Cut(text)
	return found || err != nil || strings.Contains(text, assumedOption+":")
}
