package chart

import (
	"math"

	"holdbench/internal/say"
)

// logAxis lays out values above 0 by their logarithm, from one value to another.
type logAxis struct {
	from, to    float64
	left, right float64 // pixels
}

// x returns where a value lies. A value off the axis lies on its nearer end.
func (a logAxis) x(v float64) float64 {
	v = max(a.from, min(a.to, v))
	return between(math.Log(v), math.Log(a.from), math.Log(a.to), a.left, a.right)
}

// at returns the value that lies at x.
func (a logAxis) at(x float64) float64 {
	return math.Exp(between(x, a.left, a.right, math.Log(a.from), math.Log(a.to)))
}

// between maps v linearly from the stretch from … to onto low … high.
func between(v, from, to, low, high float64) float64 {
	return low + (v-from)/(to-from)*(high-low)
}

// tick is a marked value of an axis with its words.
type tick struct {
	value float64
	words string
}

// The times that an axis may begin with, and those that it may mark, in seconds.
var (
	timeStarts = []float64{1, 0.3, 0.1, shortestDrawn}
	timeTicks  = []float64{0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000, 3000}
)

// The ends of an axis of times, in seconds. shortestDrawn is the shortest time told apart from
// none at all, about half a frame of a film at 30 frames a second; leastEnd is the shortest time
// that an axis ends with.
const (
	shortestDrawn = 0.02
	leastEnd      = 30
)

// newTimeAxis returns an axis of seconds. It begins with the latest start at or before the
// earliest time, and ends so far after the latest time that an arrow there still has room.
func newTimeAxis(earliest, latest, left, right float64) logAxis {
	a := logAxis{from: shortestDrawn, left: left, right: right}
	for _, start := range timeStarts {
		if start <= earliest {
			a.from = start
			break
		}
	}
	reach := (arrowReach + 8) / (right - left)
	room := math.Exp((math.Log(max(latest, a.from)) - reach*math.Log(a.from)) / (1 - reach))
	a.to = max(leastEnd, 1.6*latest, room)
	return a
}

// timeTicksOn returns the marked times that lie on an axis.
func timeTicksOn(a logAxis) (on []tick) {
	for _, t := range timeTicks {
		if t >= a.from && t <= a.to {
			on = append(on, tick{t, secondsWords(t)})
		}
	}
	return on
}

// secondsWords is a time without needless zeros: "8 s", "0.4 s".
func secondsWords(s float64) string {
	if s >= 100 {
		s = math.Round(s)
	}
	return say.Number(math.Round(s*100)/100) + " s"
}
