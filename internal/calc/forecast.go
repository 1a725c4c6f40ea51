package calc

import (
	"math"
	"sort"
	"sync"
)

// Forecast is an estimate applied to one set-up at one pull. It may be read by
// many goroutines.
type Forecast struct {
	estimate  *Estimate
	path      path
	lnSuction float64
	gas       Volume
	departure departure
	tested    bool
	curve     func() []float64 // the mean share over time, worked out once
}

// Forecast applies the estimate to a set-up: one that was tested brings its own
// departure from the model, one that was not stands on the model alone.
//
// Domain: positive bore, length, gas and pull. Errors: *RangeError.
func (e *Estimate) Forecast(s Setup, pull Volume) (*Forecast, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if err := positive("pull", float64(pull)); err != nil {
		return nil, err
	}
	p, err := Draw{Pull: pull, Gas: s.Gas}.Suction(0)
	if err != nil {
		return nil, err
	}
	f := &Forecast{
		estimate:  e,
		path:      newPath(s.Tube),
		lnSuction: math.Log(float64(p)),
		gas:       s.Gas,
		departure: newUntestedDeparture(e.spread),
	}
	if t := e.tube(s); t != nil {
		f.departure, f.tested = &t.departure, true
	}
	f.curve = sync.OnceValue(f.meanCurve)
	return f, nil
}

// Share is the part of tests that show flashback by a time: the mean, and the
// limits between which the true part lies with probability 0.8.
type Share struct {
	By              Seconds
	Mean, Low, High float64
}

// The limits of a Share leave this probability on either side.
const tailOfShare = 0.1

// Share returns the part of tests that show flashback by that time, 0 for a
// time that is not above 0.
func (f *Forecast) Share(by Seconds) Share {
	if !(by > 0) {
		return Share{By: by}
	}
	m := f.margin(by)
	return Share{By: by, Mean: m.share(), Low: m.quantileShare(tailOfShare), High: m.quantileShare(1 - tailOfShare)}
}

// mean is Share's Mean alone.
func (f *Forecast) mean(by Seconds) float64 {
	if !(by > 0) {
		return 0
	}
	return f.margin(by).share()
}

// margin returns how far above what it takes to show by that time the set-up lies.
func (f *Forecast) margin(by Seconds) margin {
	e := f.estimate
	lnTime := math.Log(float64(by))
	m := margin{weight: e.weight, model: make([]float64, len(e.points)), departure: f.departure, spread: e.spread.oneTest()}
	tables := exitTables()
	for i, g := range e.points {
		m.model[i] = f.lnSuction - tables[g.rung].lnSuction(g.lnK, g.lnYield, f.path, lnTime)
	}
	return m
}

// longestHold is the longest hold looked for, longestTime the longest time told
// apart from never, shortestTime the shortest told apart from at once.
const (
	longestHold          = 120
	longestTime  Seconds = 600
	shortestTime Seconds = 0.01
)

// Hold returns the smallest whole second by which the mean share reaches the
// target; not ok if none up to two minutes does.
//
// Domain: 0 < target < 1; a target outside is never reached.
func (f *Forecast) Hold(target float64) (seconds int, ok bool) {
	if !(target > 0 && target < 1) || f.mean(longestHold) < target {
		return 0, false
	}
	// Time is right to a part in a thousand: the whole second is next to it.
	seconds = max(int(math.Ceil(float64(f.Time(target)))), 1)
	for seconds > 1 && f.mean(Seconds(seconds-1)) >= target {
		seconds--
	}
	for f.mean(Seconds(seconds)) < target {
		seconds++
	}
	return seconds, true
}

// Time returns the time by which that part of tests has shown, to a part in a
// thousand; +Inf if it is not reached within ten minutes, and shortestTime for
// anything quicker.
//
// Domain: 0 < share < 1; a share outside is never reached.
func (f *Forecast) Time(share float64) Seconds {
	curve := f.curve()
	last := len(curve) - 1
	if !(share > 0 && share < 1) || curve[last] < share {
		return Seconds(math.Inf(1))
	}
	if curve[0] >= share {
		return shortestTime
	}
	k := sort.SearchFloat64s(curve, share)
	lo, hi := end{lnCurveTime(k - 1), curve[k-1] - share}, end{lnCurveTime(k), curve[k] - share}
	ln := solveRising(func(x float64) float64 { return f.mean(Seconds(math.Exp(x))) - share }, lo, hi, 5e-4)
	return Seconds(math.Exp(ln))
}

// curvePoints is the number of times at which a forecast's curve is worked out.
const curvePoints = 24

// lnCurveTime is the logarithm of the k-th of them, evenly spaced from
// shortestTime to longestTime.
func lnCurveTime(k int) float64 {
	lo, hi := math.Log(float64(shortestTime)), math.Log(float64(longestTime))
	return lo + (hi-lo)*float64(k)/(curvePoints-1)
}

// meanCurve returns the mean share at each of the curve's times, rising.
func (f *Forecast) meanCurve() []float64 {
	curve := make([]float64, curvePoints)
	for k := range curve {
		curve[k] = f.mean(Seconds(math.Exp(lnCurveTime(k))))
		if k > 0 {
			curve[k] = max(curve[k], curve[k-1])
		}
	}
	return curve
}
