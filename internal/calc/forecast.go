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
	pull      Volume
	lnSuction float64
	gas       Volume
	tubes     []forecastTube
	step      float64          // of the grid over δ of a tested set-up
	half      int              // lines of it on either side of 0
	odd       float64          // probability that a tested set-up is unlike the gel's others, or what is assumed of any
	curve     func() []float64 // the mean share over time, worked out once
	given     *given           // what was asked for before
}

// given are the shares and times that a forecast has given: answers about one set-up ask for the same ones.
type given struct {
	mu     sync.Mutex
	shares map[Seconds]Share
	times  map[float64]Seconds
}

// mostGiven bounds each: whoever names a time of their own asks for one more.
const mostGiven = 16

func newGiven() *given { return &given{shares: map[Seconds]Share{}, times: map[float64]Seconds{}} }

// once returns what is kept of a key, or works it out and keeps it.
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
	if len(kept) >= mostGiven {
		clear(kept)
	}
	kept[key] = v
	return v
}

// forecastTube is one tube that the set-up may have, with what is known of δ in it:
// nil for a set-up that was not tested.
type forecastTube struct {
	possibleTube
	rows []deltaRow // by point
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
	p, err := Draw{Pull: pull, Gas: s.Gas}.Suction()
	if err != nil {
		return nil, err
	}
	f := &Forecast{estimate: e, pull: pull, lnSuction: math.Log(float64(p)), gas: s.Gas, odd: oddShare}
	for _, t := range s.tubes() {
		f.tubes = append(f.tubes, forecastTube{possibleTube: t})
	}
	if own := e.setup(s); own != nil {
		f.odd, f.step, f.half = own.odd, own.grid.step, own.grid.half
		for k := range f.tubes {
			f.tubes[k].rows = own.rows[k]
		}
	}
	f.begin()
	return f, nil
}

// begin makes what is worked out once ready to be.
func (f *Forecast) begin() { f.curve, f.given = sync.OnceValue(f.meanCurve), newGiven() }

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
	return once(&f.given.mu, f.given.shares, by, func() Share {
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

// margin returns how far above what it takes to show by that time the set-up lies.
func (f *Forecast) margin(by Seconds) *margin {
	m := &margin{test: f.estimate.spread.oneTest(), added: f.additions()}
	f.each(by, func(x, mass float64) { m.add(x, mass) })
	m.settle()
	return m
}

// additions are what is added to each place of the margin: another syringe, and for a
// set-up that was not tested all of δ.
func (f *Forecast) additions() []addition {
	if f.tubes[0].rows != nil {
		return []addition{{1, lotSpread}}
	}
	return []addition{
		{1 - oddShare, math.Hypot(f.estimate.spread.Combination, lotSpread)},
		{oddShare, math.Hypot(oddSpread, lotSpread)},
	}
}

// each goes through the possible margins at a time, with the probability of each.
func (f *Forecast) each(by Seconds, visit func(x, mass float64)) {
	e := f.estimate
	lnTime := math.Log(float64(by))
	tables := exitTables()
	for _, t := range f.tubes {
		for i, g := range e.points {
			x := f.lnSuction - tables[g.rung].lnSuction(g.lnK, g.lnYield, t.path, lnTime)
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

// longestTime is the longest time told apart from never, shortestTime the shortest told
// apart from at once.
const (
	longestTime  Seconds = 600
	shortestTime Seconds = 0.01
)

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
	return once(&f.given.mu, f.given.times, share, func() Seconds {
		k := sort.SearchFloat64s(curve, share)
		lo, hi := end{lnCurveTime(k - 1), curve[k-1] - share}, end{lnCurveTime(k), curve[k] - share}
		ln := solveRising(func(x float64) float64 { return f.mean(Seconds(math.Exp(x))) - share }, lo, hi, 5e-4)
		return Seconds(math.Exp(ln))
	})
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
