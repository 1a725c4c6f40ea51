package calc

import (
	"cmp"
	"slices"
)

// ChangeKind names what could be done differently.
type ChangeKind string

// The changes that Why looks at, in its order.
const (
	HalfLength ChangeKind = "half the length"
	WiderGauge ChangeKind = "the next gauge wider"
	WiderWall  ChangeKind = "a wider wall class"
	TwicePull  ChangeKind = "twice the pull"
	WarmerMilk ChangeKind = "warmer milk"
)

// Change is what one change would do.
type Change struct {
	Kind  ChangeKind
	Setup Setup     // the changed set-up
	Gauge int       // of the changed set-up, where the gauge or wall is known
	Wall  WallClass // likewise
	Pull  Volume
	Milk  Celsius

	Exit      Exit    // the full model at the middle gel, changed
	TimeRatio float64 // time changed over time before: 0 if only the change brings it out, 1 if neither does
}

// changes works out what each possible change would do.
func (q PaceQuestion) changes(now bench, exit Exit) ([]Change, error) {
	var all []Change
	for _, c := range q.possible(now) {
		milk, err := WholeMilk(c.Milk)
		if err != nil {
			return nil, err
		}
		changed := bench{gel: now.gel, setup: c.Setup, pull: c.Pull, liquid: milk}
		if c.Exit, err = changed.exit(); err != nil {
			return nil, err
		}
		switch {
		case !exit.Never():
			c.TimeRatio = float64(c.Exit.Time / exit.Time)
		case c.Exit.Never():
			c.TimeRatio = 1
		}
		all = append(all, c)
	}
	return all, nil
}

// possible lists the changes that can be made, without what they would do.
func (q PaceQuestion) possible(b bench) []Change {
	tube := b.setup.Tube
	now := Change{Setup: b.setup, Gauge: q.Gauge, Wall: cmp.Or(q.Wall, AssumedWall), Pull: b.pull, Milk: q.Milk}
	change := func(kind ChangeKind, by func(c *Change)) Change {
		c := now
		c.Kind = kind
		by(&c)
		return c
	}
	all := []Change{change(HalfLength, func(c *Change) {
		c.Setup.Tube.Length = q.Hub + (tube.Length-q.Hub)/2
	})}
	if gauge, bore, ok := widerGauge(now.Gauge, now.Wall, tube.Bore); ok {
		all = append(all, change(WiderGauge, func(c *Change) {
			c.Gauge, c.Setup.Tube.Bore = gauge, bore
			if b.setup.UnrecordedWall != 0 {
				c.Setup.UnrecordedWall = gauge
			}
		}))
	}
	if wall, bore, ok := widerWall(now.Gauge, now.Wall, tube.Bore); ok {
		all = append(all, change(WiderWall, func(c *Change) {
			c.Wall, c.Setup.Tube.Bore, c.Setup.UnrecordedWall = wall, bore, 0
		}))
	}
	all = append(all, change(TwicePull, func(c *Change) { c.Pull *= 2 }))
	if q.Milk < warmestMilk {
		all = append(all, change(WarmerMilk, func(c *Change) { c.Milk = warmestMilk }))
	}
	return all
}

// widerGauge returns the next gauge of the standard whose tube, at that wall class, is wider than
// the given bore.
func widerGauge(gauge int, wall WallClass, bore Length) (next int, wider Length, ok bool) {
	gauges := Gauges()
	for i := slices.Index(gauges, gauge) - 1; i >= 0; i-- {
		if b, err := MinimumBore(gauges[i], wall); err == nil && b > bore {
			return gauges[i], b, true
		}
	}
	return 0, 0, false
}

// widerWall returns the next thinner wall class of the gauge whose tube is wider than the given
// bore.
func widerWall(gauge int, wall WallClass, bore Length) (next WallClass, wider Length, ok bool) {
	walls := WallClasses()
	if !wall.Valid() {
		return "", 0, false
	}
	for _, w := range walls[slices.Index(walls, wall)+1:] {
		if b, err := MinimumBore(gauge, w); err == nil && b > bore {
			return w, b, true
		}
	}
	return "", 0, false
}
