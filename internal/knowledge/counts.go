package knowledge

import (
	"slices"

	"holdbench/internal/calc"
)

// Counts is what the kept tests of one combination say by themselves.
//
// A test counts as shown by the ceiling if its flashback came at the ceiling or before. A
// none counts as not shown by the ceiling only if it was watched that long. A none that was
// given up earlier tells nothing about the ceiling: Shown leaves it out. Run, None and Curve
// have it, Curve for as long as it was watched.
type Counts struct {
	Run            int // tests; ShownByCeiling + ShownLater + None
	ShownByCeiling int
	ShownLater     int // flashback after the ceiling
	None           int // no flashback while watched
	TooShort       int // of None: watched for less than the ceiling
	Testers        int

	Shortest, Median, Longest float64 // seconds as they are told, of the tests that showed; 0 if none did

	// Shown is the share shown by the ceiling of the Run − TooShort tests that tell, with exact limits; N is 0 if none
	// tells.
	Shown     calc.Statistic
	ByCeiling calc.Statistic // the same by the Curve, which uses every test
	Curve     *calc.Curve    // share shown by time (Kaplan–Meier)
}

// confidence is that of the limits in Counts.
const confidence = 0.95

// count counts the tests of the combination; there must be at least one.
func (f *testedFile) count(ceiling calc.Seconds) (c Counts, err error) {
	c.Run = f.tests
	testers := make(map[int64]bool)
	shown := make([]float64, 0, f.tests)
	for t := range f.list.All() {
		testers[t.Trial.Hand] = true
		switch {
		case t.None:
			c.None++
			if t.WatchedS < float64(ceiling) {
				c.TooShort++
			}
			continue
		case t.Seconds <= float64(ceiling):
			c.ShownByCeiling++
		default:
			c.ShownLater++
		}
		shown = append(shown, t.Told)
	}
	c.Testers = len(testers)
	c.order(shown)
	if c.Curve, err = f.curve(); err != nil {
		return c, err
	}
	return c, c.limits(ceiling)
}

// order fills in the shortest, the middle and the longest time shown.
func (c *Counts) order(shown []float64) {
	if len(shown) == 0 {
		return
	}
	slices.Sort(shown)
	n := len(shown)
	c.Shortest, c.Median, c.Longest = shown[0], (shown[(n-1)/2]+shown[n/2])/2, shown[n-1]
}

// limits fills in the shares with their limits.
func (c *Counts) limits(ceiling calc.Seconds) (err error) {
	if tell := c.Run - c.TooShort; tell > 0 {
		if c.Shown, err = calc.ClopperPearson(c.ShownByCeiling, tell, confidence); err != nil {
			return err
		}
	}
	c.ByCeiling, err = c.Curve.ShownBy(ceiling, confidence)
	return err
}
