package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/chart"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const pictureName = "explain picture"

var pictureCommand = &Command{
	Name:    pictureName,
	Summary: "The share shown by time as a picture: tests, estimate, ceiling and hold",
	Help: "Steps show the share in the group's tests, a curve with a band the estimate, a dot each test and an arrow " +
		"each none. What nobody has tested is striped and labelled. The words under it say the same.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 27G 13 mm",
	Options: combinationOptions(
		pullNumber("how far the plunger is drawn, if not 0.1 mL", trade.LargestPullML),
		backgroundChoice(),
	),
	Who:     anyMember,
	Shared:  true,
	Bearing: Bearing{Bedside: true},
	Examples: []string{"/explain picture orrick mid 27G 13 mm",
		"/explain picture dunmere deep 30G 8 mm background:dark"},
	Run: runPicture,
}

func runPicture(ctx context.Context, env *Env, call *Call) (Card, error) {
	a, evidence, err := evidenceAsked(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	return pictureCard(evidence, newOutlook(evidence, calc.Seconds(a.by)), call, call.viewer())
}

// pictureCard is the picture of a combination, with the same in words.
func pictureCard(e *knowledge.Evidence, o outlook, call *Call, v viewer) (Card, error) {
	share := shareByTime(e)
	share.Dark = call.onDark()
	p, err := share.Draw()
	if err != nil {
		return Card{}, fmt.Errorf("picture of %s: %w", e.Combination, err)
	}
	c := Card{Title: setupTitle(e), Untested: !e.Tested, Picture: call.drawn(p, 1)}
	label := "Estimate at other times"
	if e.Tested {
		testedLines(&c, e, o, v)
		c.fact("Times", "%s", timesTested(e.Tests.Times()))
	} else {
		untestedLines(&c, e, o)
		label = "Calculated at other times"
	}
	c.fact(label, "%s", readOff(share))
	again := about(pictureName, e.Combination)
	again.Values = call.Values
	c.Actions = []Action{toAskAbout("the hold", holdName, e.Combination), again.otherPaper()}
	holdWarnings(&c, e, o)
	c.sayBehind(e)
	return c, nil
}

// shareByTime is what is known of a combination, in the form that the picture takes.
func shareByTime(e *knowledge.Evidence) chart.ShareByTime {
	share := chart.ShareByTime{
		Product: e.Combination.Product.Name,
		Setup:   strings.TrimPrefix(setupTitle(e), e.Combination.Product.Name+", "),
		State:   e.State, Headline: headline(e), Ceiling: float64(e.Ceiling), Target: e.Target,
		PullML: round3(e.Pull.Millilitres()), Testers: e.Counts.Testers,
	}
	if hold := holdSeconds(e); hold != nil {
		share.Hold = *hold
	}
	for t := range e.Tests.All() {
		mark := chart.TestMark{Seconds: t.Seconds, Told: t.Told, None: t.None, PullML: t.PullML}
		if mark.None {
			mark.Seconds, mark.Told = t.WatchedS, 0
		}
		mark.Slip = e.Flagged.Has(t.ID)
		share.Tests = append(share.Tests, mark)
	}
	if e.Counts.Curve != nil {
		for _, s := range e.Counts.Curve.Steps {
			share.Steps = append(share.Steps, chart.Step{Seconds: float64(s.Time), Share: 1 - s.NotShown})
		}
	}
	for _, t := range chart.ShareTimes() {
		s := e.Forecast.Share(calc.Seconds(t))
		share.Estimate = append(share.Estimate, chart.Estimated{Seconds: t, Mean: s.Mean, Low: s.Low, High: s.High})
	}
	return share
}

// timesTested says how long the tests that showed took, and how long the others were watched.
func timesTested(shown, watched []float64) string {
	took, still := "", ""
	if len(shown) > 0 {
		took = "those that showed took " + stretchWords(shown)
	}
	if len(watched) > 0 {
		still = "those that did not were watched " + stretchWords(watched)
	}
	return joinNonEmpty("; ", took, still)
}

// stretchWords says the shortest and the longest of some times.
func stretchWords(seconds []float64) string {
	low, high := slices.Min(seconds), slices.Max(seconds)
	if low == high {
		return exactSeconds(low)
	}
	return trimNumber(low) + " to " + exactSeconds(high)
}

// readOff reads the estimate's curve at a few times.
func readOff(share chart.ShareByTime) string {
	var parts []string
	for _, seconds := range []float64{1, 3, 10, 30} {
		if e, ok := share.At(seconds); ok && seconds != share.Ceiling { // the lines above have the ceiling's
			parts = append(parts, "by "+exactSeconds(seconds)+" "+shareWords(e.Mean)+rangeWords(e.Low, e.High))
		}
	}
	return strings.Join(parts, "; ")
}
