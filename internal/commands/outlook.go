package commands

import (
	"math"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// outlook is what the estimate says about a combination, computed once for the words and the figures of an answer.
type outlook struct {
	byCeiling calc.Share // by the group's ceiling
	byAsked   calc.Share // by the time that the asker named, else by the ceiling
	asked     bool       // the asker named a time

	// Seconds by which 1 in 10, half and 9 in 10 of tests have shown; +Inf for never.
	few, half, most float64
}

// newOutlook computes the outlook; by is the time that the asker named, 0 for none.
func newOutlook(e *knowledge.Evidence, by calc.Seconds) outlook {
	o := outlook{
		byCeiling: e.Forecast.Share(e.Ceiling),
		asked:     by > 0,
		few:       float64(e.Forecast.Time(0.1)),
		half:      float64(e.Forecast.Time(0.5)),
		most:      float64(e.Forecast.Time(0.9)),
	}
	o.byAsked = o.byCeiling
	if o.asked && by != e.Ceiling {
		o.byAsked = e.Forecast.Share(by)
	}
	return o
}

// longestTold is the longest time, s, that an answer gives: a longer one means nothing to an injector.
const longestTold = 120

// late reports whether a time, s, is longer than that.
func late(s float64) bool { return math.IsInf(s, 1) || s > longestTold }
