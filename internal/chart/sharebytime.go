package chart

import (
	"cmp"
	"fmt"
	"slices"

	"holdbench/internal/calc"
)

// ShareByTime is the share of one combination's tests that show flashback, by time, as tested and as
// estimated. Without tests it is drawn as untested, whatever the state.
type ShareByTime struct {
	Product  string // "Orrick Mid"
	Setup    string // "30G 13 mm needle, supplied syringe"
	State    calc.State
	Headline string  // the first line of the answer: the hold, or why there is none
	Hold     int     // the advised hold, whole seconds; 0 where none is advised
	Ceiling  float64 // the longest hold that the group calls usable, seconds
	Target   float64 // the share a hold is to reach, above 0, below 1
	PullML   float64 // the pull the estimate is for
	Testers  int
	Tests    []TestMark
	Steps    []Step      // the Kaplan–Meier curve of the tests, by rising time
	Estimate []Estimated // by rising time, at ShareTimes for a smooth curve; may be empty
	Dark     bool        // on dark paper
}

// TestMark is one test.
type TestMark struct {
	Seconds float64 // time to flashback, or time watched without one; 0 or more
	Told    float64 // Seconds with no more digits than its timing carries, for words; 0: Seconds as they are
	None    bool    // no flashback while watched
	Slip    bool    // looks mistyped, or does not fit the others
	PullML  float64
}

// Step is a time at which tests showed, and the share shown from then on.
type Step struct{ Seconds, Share float64 }

// Estimated is the estimated share by a time, with the limits between which the
// true share lies with probability 0.8. The mean of a share that is nearly
// certain may lie outside its limits.
type Estimated struct{ Seconds, Mean, Low, High float64 }

// longestDrawn is the longest time that is drawn, in seconds.
const longestDrawn = 3000

// ShareTimes returns the times at which to work the estimate out: close enough together for a smooth
// curve, and from 0.02 to 300 s.
func ShareTimes() []float64 {
	const n = 97
	times, axis := make([]float64, n), logAxis{from: shortestDrawn, to: 300, right: n - 1}
	for i := range times {
		times[i] = axis.at(float64(i))
	}
	return times
}

// Draw returns the picture.
//
// Domain: times 0 to 3000 s, rising; shares 0 to 1, low ≤ high; the hold not negative.
// Errors: *calc.RangeError naming what is outside; others for a state that no tested combination
// has, for a step at which no test showed and for a hold by which none had.
func (c ShareByTime) Draw() (Picture, error) {
	if err := c.check(); err != nil {
		return Picture{}, err
	}
	c.Product, c.Setup = tidy(c.Product), tidy(c.Setup)
	blocks := []block{words(c.Product, titleLetter, 2), words(c.Setup, textLetter, 2), gap(18)}
	if c.untested() {
		blocks = append(blocks, untestedBanner(c.untestedWords()))
	} else {
		v, err := lookOf(c.State)
		if err != nil {
			return Picture{}, err
		}
		blocks = append(blocks, headline(v, c.Headline))
	}
	blocks = append(blocks, gap(10))
	for _, fact := range c.facts() {
		blocks = append(blocks, words(fact, textLetter, 2))
	}
	blocks = append(blocks, gap(18), c.plot(), gap(8), legend(c.keys()))
	if note := c.pullNote(); note != "" {
		blocks = append(blocks, words(note, quietLetter, 2))
	}
	return compose(c.Dark, append(blocks, gap(6), caveats())...).finish(c.alt())
}

func (c ShareByTime) untested() bool { return len(c.Tests) == 0 }

// check returns an error for a figure that cannot be drawn.
func (c ShareByTime) check() error {
	faults := []error{
		inRange("ceiling", c.Ceiling, 0.1, longestDrawn),
		inRange("target", c.Target, 0.01, 0.999),
		inRange("hold", float64(c.Hold), 0, longestDrawn),
		inRange("pull in mL", c.PullML, 0, 100),
	}
	for _, t := range c.Tests {
		faults = append(faults, inRange("time of a test", t.Seconds, 0, longestDrawn),
			inRange("pull in mL", t.PullML, 0, 100))
	}
	if hold := c.advised(); hold > 0 && !c.anyShownBy(float64(hold)) {
		return fmt.Errorf("share by time: no test showed by the hold of %d s", hold)
	}
	before := Step{}
	for _, s := range c.Steps {
		if !c.showedAt(s.Seconds) {
			return fmt.Errorf("share by time: no test showed at the step at %g s", s.Seconds)
		}
		faults = append(faults,
			inRange("time of a step", s.Seconds, before.Seconds, longestDrawn),
			inRange("share of a step", s.Share, before.Share, 1))
		before = s
	}
	at := 0.0
	for _, e := range c.Estimate {
		faults = append(faults,
			inRange("time of the estimate", e.Seconds, at, longestDrawn),
			inRange("share", e.Mean, 0, 1), inRange("low limit", e.Low, 0, 1), inRange("high limit", e.High, e.Low, 1))
		at = e.Seconds
	}
	if err := cmp.Or(faults...); err != nil {
		return fmt.Errorf("share by time: %w", err)
	}
	return nil
}

// showedAt reports whether a test showed at that time, as one must at a step.
func (c ShareByTime) showedAt(seconds float64) bool {
	return slices.ContainsFunc(c.Tests, func(t TestMark) bool { return !t.None && t.Seconds == seconds })
}

// anyShownBy reports whether a test had shown by that time.
func (c ShareByTime) anyShownBy(seconds float64) bool {
	return slices.ContainsFunc(c.Tests, func(t TestMark) bool { return !t.None && t.Seconds <= seconds })
}

// At returns the estimate by a time, linearly between the nearest two times; not ok outside them.
func (c ShareByTime) At(seconds float64) (Estimated, bool) {
	for i := 1; i < len(c.Estimate); i++ {
		a, b := c.Estimate[i-1], c.Estimate[i]
		if !(a.Seconds <= seconds && seconds <= b.Seconds && a.Seconds < b.Seconds) {
			continue
		}
		w := (seconds - a.Seconds) / (b.Seconds - a.Seconds)
		mix := func(p, q float64) float64 { return p + w*(q-p) }
		return Estimated{seconds, mix(a.Mean, b.Mean), mix(a.Low, b.Low), mix(a.High, b.High)}, true
	}
	return Estimated{}, false
}

// counts returns how many tests had shown by the ceiling, and how many showed nothing while watched.
func (c ShareByTime) counts() (shown, none int) {
	for _, t := range c.Tests {
		switch {
		case t.None:
			none++
		case t.Seconds <= c.Ceiling:
			shown++
		}
	}
	return shown, none
}
