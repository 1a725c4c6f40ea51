package calc

import (
	"math"
	"sync"
)

// exitTable is the gel-only model of one flow index, tabulated so that the exit
// time at a suction, and the suction that gives an exit time, each cost a few
// nanoseconds instead of a quadrature.
//
// With φ = τy/τ₀ and M(φ) = φ^(1/n) G(φ, n) the exit time is
// (L/R) (K/τy)^(1/n) M(φ). Written in v = φ·(1−ξ) the integral G becomes
//
//	M(φ) = (1/φ) ∫₀^φ (v/(1−v))^(1/n) / (n (1−v) B(v)) dv
//	B(v) = (1−v)²/(3n+1) + 2v(1−v)/(2n+1) + v²/(n+1)
//
// so that one running integral serves every φ. In x = ln(φ/(1−φ)) and
// w = n ln M both ends are straight lines of slope 1, which is what makes a
// cubic through values and slopes exact to 1e-7.
type exitTable struct {
	index   float64
	forward hermite // w over x
	inverse hermite // ln φ over w
}

// The tables' range and step, in x and in w. At the lower end φ is 1e-8 and the
// straight line holds to that; at the upper end the suction is within 1e-10 of
// the one at which nothing moves.
const (
	tableFrom = -18.0
	tableTo   = 24.0
	tableStep = 0.05
)

// newExitTable tabulates the gel-only model for one flow index.
//
// Domain: 0.05 ≤ index ≤ 1.5. Errors: *RangeError.
// Accuracy: 1e-6 relative on exit times (TestExitTableAgainstSciPy).
// Source: Chhabra, Richardson, Non-Newtonian Flow and Applied Rheology, ch. 3,
// for the velocity; the substitution is ours and is checked against quadrature.
func newExitTable(index float64) (*exitTable, error) {
	if !(index >= 0.05 && index <= 1.5) {
		return nil, &RangeError{Name: "flow index", Value: index, Want: "0.05 to 1.5"}
	}
	t := &exitTable{index: index, forward: tabulateExit(index)}
	t.inverse = t.forward.invert(tableFrom, tableTo, tableStep, lnLogistic)
	return t, nil
}

// tabulateExit runs the integral up the x axis, four Gauss points a step.
func tabulateExit(n float64) hermite {
	h := newHermite(tableFrom-2, tableTo+2, tableStep)
	// Below the table the integrand is a pure exponential of slope 1 + 1/n.
	integral := exitIntegrand(n, h.from) / (1 + 1/n)
	for i := range h.value {
		x := h.from + float64(i)*h.step
		φ := logistic(x)
		h.value[i] = n * math.Log(integral/φ)
		h.slope[i] = n*exitIntegrand(n, x)/integral - n*(1-φ)
		for k, node := range gauss4Nodes {
			integral += h.step * gauss4Weights[k] * exitIntegrand(n, x+h.step*node)
		}
	}
	return h
}

// exitIntegrand is the integrand of M·φ per unit of x.
func exitIntegrand(n, x float64) float64 {
	v := logistic(x)
	u := 1 - v
	b := u*u/(3*n+1) + 2*v*u/(2*n+1) + v*v/(n+1)
	return math.Exp(x/n) * v / (n * b)
}

// The four-point Gauss–Legendre rule on 0 … 1 (Abramowitz and Stegun, table 25.4).
var (
	gauss4Nodes   = [4]float64{0.069431844202973712, 0.33000947820757187, 0.66999052179242813, 0.93056815579702629}
	gauss4Weights = [4]float64{0.17392742256872693, 0.32607257743127307, 0.32607257743127307, 0.17392742256872693}
)

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// lnLogistic is ln φ of x, and its slope.
func lnLogistic(x float64) (value, slope float64) {
	return -math.Log1p(math.Exp(-x)), 1 / (1 + math.Exp(x))
}

// path is a tube as the estimate wants it, logarithms taken once.
type path struct {
	lnAspect float64 // ln(R/L)
}

func newPath(t Tube) path {
	return path{lnAspect: math.Log(float64(t.Bore) / 2 / float64(t.Length))}
}

// lnSuction is the logarithm of the suction that brings the liquid to the hub in just
// that time: the inner step of the whole estimate.
func (t *exitTable) lnSuction(lnK, lnYield float64, p path, lnTime float64) float64 {
	w := lnYield - lnK + t.index*(lnTime+p.lnAspect)
	return math.Ln2 - p.lnAspect + lnYield - t.lnPhi(w)
}

// lnSuctionSlope is lnSuction and its slope by the logarithm of the time.
func (t *exitTable) lnSuctionSlope(lnK, lnYield float64, p path, lnTime float64) (ln, slope float64) {
	w := lnYield - lnK + t.index*(lnTime+p.lnAspect)
	ln = math.Ln2 - p.lnAspect + lnYield
	switch {
	case w < tableFrom:
		return ln - t.inverse.value[0] - (w - tableFrom), -t.index
	case w >= tableTo:
		return ln, 0
	}
	value, slope := t.inverse.slopeAt(w)
	return ln - value, -t.index * slope
}

// lnPhi is ln φ of w; outside the table its two straight ends.
func (t *exitTable) lnPhi(w float64) float64 {
	switch {
	case w < tableFrom:
		return t.inverse.value[0] + (w - tableFrom)
	case w >= tableTo:
		return 0
	}
	return t.inverse.at(w)
}

// The estimate works on a fixed ladder of flow indices, so that their tables
// are made once.
const indexStep = 0.01

// ladderLength is the number of rungs from minIndex to maxIndex.
const ladderLength = 89

// indexOf returns the flow index of a rung.
func indexOf(rung int) float64 { return minIndex + indexStep*float64(rung) }

// exitTables holds the ladder's tables, made on first use and never changed.
var exitTables = sync.OnceValue(func() *[ladderLength]*exitTable {
	var tables [ladderLength]*exitTable
	for i := range tables {
		tables[i], _ = newExitTable(indexOf(i)) // every rung is in the domain
	}
	return &tables
})
