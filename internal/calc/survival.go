package calc

import (
	"cmp"
	"math"
	"slices"
)

// Watch is one test as it was watched: until the flashback, or to the end without one.
type Watch struct {
	For   Seconds
	Shown bool
}

// Step is one time at which flashbacks were seen.
type Step struct {
	Time     Seconds
	AtRisk   int     // tests still being watched just before, none shown yet
	Shown    int     // flashbacks at this time
	NotShown float64 // share that has not shown after it
	StdErr   float64 // Greenwood standard error of NotShown; 0 where it is not defined, once NotShown is 0
}

// Curve is the Kaplan–Meier curve of tests that were watched for different times.
type Curve struct {
	Steps   []Step // by rising time
	watches []Watch
}

// KaplanMeier returns the share of tests that have not shown, by time. A test without a flashback
// counts for as long as it was watched and then drops out.
//
//	S(t) = ∏ (1 − d/r) over the times up to t,   se² = S² Σ d / (r (r−d))
//
// with d flashbacks among the r tests still watched; at equal times flashbacks
// come before tests that drop out.
//
// Domain:   at least 1 watch, at most 1 000 000, in any order; times finite, ≥ 0.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Kaplan, Meier, J Am Stat Assoc 53 (1958) 457; Greenwood (1926) for
// the standard error.
func KaplanMeier(watches []Watch) (*Curve, error) {
	if err := within("number of tests", float64(len(watches)), 1, mostTests, "1 to 1 000 000"); err != nil {
		return nil, err
	}
	for _, w := range watches {
		if err := notNegative("time watched", float64(w.For)); err != nil {
			return nil, err
		}
	}
	c := &Curve{watches: slices.Clone(watches)}
	slices.SortFunc(c.watches, func(a, b Watch) int { return cmp.Compare(a.For, b.For) })
	S, sum := 1.0, 0.0
	for i := 0; i < len(c.watches); {
		time, r, d := c.watches[i].For, len(c.watches)-i, 0
		for ; i < len(c.watches) && c.watches[i].For == time; i++ {
			if c.watches[i].Shown {
				d++
			}
		}
		if d == 0 {
			continue
		}
		S *= float64(r-d) / float64(r)
		step := Step{Time: time, AtRisk: r, Shown: d, NotShown: S}
		if d < r {
			sum += float64(d) / (float64(r) * float64(r-d))
			step.StdErr = S * math.Sqrt(sum)
		}
		c.Steps = append(c.Steps, step)
	}
	return c, nil
}

// ShownBy returns the share shown by a time, with log–log limits.
//
//	1 − S^exp(±z se/(S ln S))
//
// Log–log limits do not exist while none have shown or once all have. Exact limits then take their
// place: of none among the tests watched so long, or of the flashbacks among all tests, which can
// only be wider.
//
// Domain:   by ≥ 0 and finite; 0.5 ≤ confidence ≤ 0.9999.
// Accuracy: rounding only, as a formula; the limits are good for some ten tests
// or more.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Kalbfleisch, Prentice, The Statistical Analysis of Failure Time
// Data, 2nd ed., §1.4 (from memory).
func (c *Curve) ShownBy(by Seconds, confidence float64) (Statistic, error) {
	if err := cmp.Or(notNegative("time", float64(by)), checkConfidence(confidence)); err != nil {
		return Statistic{}, err
	}
	S, se, events := 1.0, 0.0, 0
	for _, s := range c.Steps {
		if s.Time > by {
			break
		}
		S, se, events = s.NotShown, s.StdErr, events+s.Shown
	}
	n := len(c.watches)
	var low, high float64
	switch {
	case S == 1:
		high = c.highOfNone(by, confidence)
	case S == 0:
		exact, err := ClopperPearson(events, n, confidence)
		if err != nil {
			return Statistic{}, err
		}
		low, high = exact.Low, 1
	default:
		z := quantileOfNormal(0.5 + confidence/2)
		reach := math.Exp(z * se / (S * -math.Log(S)))
		low, high = 1-math.Pow(S, 1/reach), 1-math.Pow(S, reach)
	}
	return newStatistic(1-S, low, high, n, events), nil
}

// highOfNone returns the exact high limit of the share shown by a time at which none has shown: that
// of 0 among the tests watched so long, and 1 if none was.
func (c *Curve) highOfNone(by Seconds, confidence float64) float64 {
	watched := 0
	for _, w := range c.watches {
		if w.For >= by {
			watched++
		}
	}
	exact, err := ClopperPearson(0, watched, confidence)
	if err != nil {
		return 1
	}
	return exact.High
}
