package chart

import (
	"math"
)

// timeAxis lays times out by their logarithm, from one time to another.
type timeAxis struct {
	from, to    float64 // seconds
	left, right float64 // pixels
}

// The times an axis may begin with, and the marks it may carry, in seconds.
var (
	axisStarts = []float64{1, 0.3, 0.1, shortestDrawn}
	axisMarks  = []float64{0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000, 3000}
)

// shortestDrawn is the shortest time told apart from none at all, about half a
// frame of a film at 30 frames a second.
const shortestDrawn = 0.02

// leastEnd is the shortest time that an axis ends with, in seconds.
const leastEnd = 30

// newTimeAxis returns an axis that begins at or before the earliest time, as
// late as it may, and ends a good way after the latest.
func newTimeAxis(earliest, latest, left, right float64) timeAxis {
	a := timeAxis{from: shortestDrawn, left: left, right: right}
	for _, start := range axisStarts {
		if start <= earliest {
			a.from = start
			break
		}
	}
	// An arrow at the latest time still ends on the axis.
	reach := (arrowReach + 8) / (right - left)
	room := math.Exp((math.Log(max(latest, a.from)) - reach*math.Log(a.from)) / (1 - reach))
	a.to = max(leastEnd, 1.6*latest, room)
	return a
}

// x returns where a time lies; what is before the axis lies on its beginning,
// what is after it on its end.
func (a timeAxis) x(seconds float64) float64 {
	s := max(a.from, min(a.to, seconds))
	return between(math.Log(s), math.Log(a.from), math.Log(a.to), a.left, a.right)
}

// marks returns the marked times on the axis.
func (a timeAxis) marks() []float64 {
	var on []float64
	for _, t := range axisMarks {
		if t >= a.from && t <= a.to {
			on = append(on, t)
		}
	}
	return on
}
