package calc

import (
	"math"
	"sync"
)

// exitTable is the gel-only model of one flow index. It is tabulated so that the exit time at a
// suction, and the suction for an exit time, each cost a few nanoseconds and no quadrature.
//
// With φ = τy/τ₀ and M(φ) = φ^(1/n) G(φ, n) the exit time is
// (L/R) (K/τy)^(1/n) M(φ). Written in v = φ·(1−ξ) the integral G becomes
//
//	M(φ) = (1/φ) ∫₀^φ (v/(1−v))^(1/n) / (n (1−v) B(v)) dv
//	B(v) = (1−v)²/(3n+1) + 2v(1−v)/(2n+1) + v²/(n+1)
//
// so that one running integral serves every φ. In x = ln(φ/(1−φ)) and w = n ln M both ends are
// straight lines of slope 1: a cubic through values and slopes is then exact to 1e-7.
type exitTable struct {
	index   float64
	forward hermite // w over x
	inverse hermite // ln φ over w
}

// The tables' range and step, in x and in w. At the lower end φ is 1e-8, and the straight line
// is right to that; at the upper end the suction is within 1e-10 of the one at which nothing moves.
const (
	tableFrom = -18.0
	tableTo   = 24.0
	tableStep = 0.05
)

// newExitTable tabulates the gel-only model for one flow index.
//
// Domain: 0.05 ≤ index ≤ 1.5, checked by the caller.
// Accuracy: 1e-6 relative on exit times (TestExitTableAgainstSciPy).
// Source: Chhabra, Richardson, Non-Newtonian Flow and Applied Rheology, ch. 3,
// for the velocity; the substitution is this project's own and is checked against quadrature.
func newExitTable(index float64) *exitTable {
	t := &exitTable{index: index, forward: tabulateExit(index)}
	t.inverse = t.forward.invert(tableFrom, tableTo, tableStep, lnLogistic)
	return t
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
	return math.Exp(x/n) * v / (n * profile(n, v, 1-v))
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

// lnAspect is ln(R/L), the only thing about a tube that an exit time depends on.
func (t Tube) lnAspect() float64 { return math.Log(float64(t.Bore) / 2 / float64(t.Length)) }

// lnSuction returns the logarithm of the suction at which the liquid reaches the hub after a time.
// The whole estimate spends most of its time here.
func (t *exitTable) lnSuction(g gelPoint, lnAspect, lnTime float64) float64 {
	w := g.lnYield - g.lnK + t.index*(lnTime+lnAspect)
	return math.Ln2 - lnAspect + g.lnYield - t.lnPhi(w)
}

// lnSuctionSlope returns lnSuction and its slope by ln(time).
func (t *exitTable) lnSuctionSlope(g gelPoint, lnAspect, lnTime float64) (ln, slope float64) {
	w := g.lnYield - g.lnK + t.index*(lnTime+lnAspect)
	ln = math.Ln2 - lnAspect + g.lnYield
	switch {
	case w < tableFrom:
		return ln - t.inverse.value[0] - (w - tableFrom), -t.index
	case w >= tableTo:
		return ln, 0
	}
	value, slope := t.inverse.slopeAt(w)
	return ln - value, -t.index * slope
}

// lnPhi returns ln φ for w; outside the table it goes on as a straight line.
func (t *exitTable) lnPhi(w float64) float64 {
	switch {
	case w < tableFrom:
		return t.inverse.value[0] + (w - tableFrom)
	case w >= tableTo:
		return 0
	}
	return t.inverse.at(w)
}

// The estimate works on a fixed ladder of flow indices, so that their tables are made once:
// ladderLength rungs from minIndex to maxIndex.
const (
	indexStep    = 0.01
	ladderLength = 89
)

// indexOf returns the flow index of a rung.
func indexOf(rung int) float64 { return minIndex + indexStep*float64(rung) }

// exitTables holds the ladder's tables, made on first use and never changed.
var exitTables = sync.OnceValue(func() *[ladderLength]*exitTable {
	var tables [ladderLength]*exitTable
	for i := range tables {
		tables[i] = newExitTable(indexOf(i))
	}
	return &tables
})
