package calc

import (
	"cmp"
	"math"
	"sort"
	"sync"
)

// Forecast is an estimate applied to one set-up at one pull. Many goroutines may read it.
type Forecast struct {
	estimate  *Estimate
	setup     Setup
	pull      Volume
	lnSuction float64
	tubes     []forecastTube
	step      float64          // of the grid over δ of a tested set-up
	half      int              // lines of it on either side of 0
	odd       float64          // probability that the set-up is odd; oddShare where it was not tested
	curve     func() []float64 // the mean share over time, worked out once
	memo      *memo
}

// memo keeps the shares and times that a forecast was asked for: the answers about one
// set-up ask for the same ones again.
type memo struct {
	mu     sync.Mutex
	shares map[Seconds]Share
	times  map[float64]Seconds
}

// mostKept bounds each of the maps, for a member may name any time.
const mostKept = 16

// once returns what is kept for a key, or works it out and keeps it.
func once[K comparable, V any](mu *sync.Mutex, kept map[K]V, key K, work func() V) V {
	mu.Lock()
	v, there := kept[key]
	mu.Unlock()
	if there {
		return v
	}
	v = work()
	mu.Lock()
	defer mu.Unlock()
	if len(kept) >= mostKept {
		clear(kept)
	}
	kept[key] = v
	return v
}

// forecastTube is one tube that the set-up may have, with what is known of δ in it. rows is nil
// for a set-up that was not tested.
type forecastTube struct {
	possibleTube
	rows []deltaRow // by point
}

// Forecast applies the estimate to a set-up. A tested one brings its own departure from the
// model; any other stands on the model alone.
//
// Domain: positive bore, length, gas and pull. Errors: *RangeError.
func (e *Estimate) Forecast(s Setup, pull Volume) (*Forecast, error) {
	if err := cmp.Or(s.check(), positive("pull", float64(pull))); err != nil {
		return nil, err
	}
	p, err := Draw{Pull: pull, Gas: s.Gas}.Suction()
	if err != nil {
		return nil, err
	}
	f := &Forecast{estimate: e, setup: s, pull: pull, lnSuction: math.Log(float64(p)), odd: oddShare}
	for _, t := range s.tubes() {
		f.tubes = append(f.tubes, forecastTube{possibleTube: t})
	}
	if own := e.setup(s); own != nil {
		f.odd, f.step, f.half = own.odd, own.grid.step, own.grid.half
		for k := range f.tubes {
			f.tubes[k].rows = own.rows[k]
		}
	}
	f.forget()
	return f, nil
}

// forget makes the forecast work everything out anew.
func (f *Forecast) forget() {
	f.curve = sync.OnceValue(f.meanCurve)
	f.memo = &memo{shares: map[Seconds]Share{}, times: map[float64]Seconds{}}
}

// tested reports whether the set-up has tests of its own in the estimate.
func (f *Forecast) tested() bool { return f.tubes[0].rows != nil }

// delta is the δ of the k-th mass of a row.
func (f *Forecast) delta(row *deltaRow, k int) float64 { return float64(row.first+k-f.half) * f.step }

// Share is the part of tests that show flashback by a time: the mean, and the
// limits between which the true part lies with probability 0.8.
type Share struct {
	By              Seconds
	Mean, Low, High float64
}

// tailOfShare is the probability on either side of the limits of a Share.
const tailOfShare = 0.1

// Share returns the part of tests that show flashback by a time: 0 unless the time is above 0.
func (f *Forecast) Share(by Seconds) Share {
	if !(by > 0) {
		return Share{By: by}
	}
	return once(&f.memo.mu, f.memo.shares, by, func() Share {
		m := f.margin(by)
		return Share{By: by, Mean: m.share(), Low: m.quantileShare(tailOfShare), High: m.quantileShare(1 - tailOfShare)}
	})
}

// mean is Share's Mean alone.
func (f *Forecast) mean(by Seconds) float64 {
	if !(by > 0) {
		return 0
	}
	return f.margin(by).share()
}

// margin returns the set-up's margin at a time: how far its suction lies above what it takes to
// show by then.
func (f *Forecast) margin(by Seconds) *margin {
	m := &margin{test: f.estimate.spread.oneTest(), added: f.additions()}
	f.eachMargin(by, m.add)
	m.normalise()
	return m
}

// additions returns what is still added to each place of the margin: another syringe, and all of
// δ where the set-up was not tested.
func (f *Forecast) additions() []addition {
	if f.tested() {
		return []addition{{1, lotSpread}}
	}
	return []addition{
		{1 - oddShare, math.Hypot(f.estimate.spread.Combination, lotSpread)},
		{oddShare, math.Hypot(oddSpread, lotSpread)},
	}
}

// eachMargin visits the possible margins at a time, without additions, with their probabilities.
func (f *Forecast) eachMargin(by Seconds, visit func(x, mass float64)) {
	e := f.estimate
	lnTime := math.Log(float64(by))
	tables := exitTables()
	for _, t := range f.tubes {
		for i, g := range e.points {
			x := f.lnSuction - tables[g.rung].lnSuction(g, t.lnAspect, lnTime)
			if t.rows == nil {
				visit(x, e.weight[i]*t.share)
				continue
			}
			row := &t.rows[i]
			x += float64(row.first-f.half) * f.step
			for k, mass := range row.mass {
				visit(x+float64(k)*f.step, e.weight[i]*mass)
			}
		}
	}
}

// Times above longestTime are told as never, those below shortestTime as shortestTime.
const (
	longestTime  Seconds = 600
	shortestTime Seconds = 0.01
)

// Time returns the time by which a share of the tests has shown, to a part in a thousand: 0.01 s
// where it is shorter, +Inf where it is more than ten minutes.
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
	return once(&f.memo.mu, f.memo.times, share, func() Seconds {
		k := sort.SearchFloat64s(curve, share)
		lo, hi := end{lnCurveTime(k - 1), curve[k-1] - share}, end{lnCurveTime(k), curve[k] - share}
		ln := solveRising(func(x float64) float64 { return f.mean(Seconds(math.Exp(x))) - share }, lo, hi, 5e-4)
		return Seconds(math.Exp(ln))
	})
}

// curvePoints is the number of times at which a forecast's curve is worked out.
const curvePoints = 24

// lnCurveTime is the logarithm of the k-th time of the curve. They are evenly spaced in it, from
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
