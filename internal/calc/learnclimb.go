package calc

import (
	"math"
	"slices"
)

// lnSpread is the logarithms of the three parts of a Spread, in their order.
type lnSpread [3]float64

func (s Spread) ln() lnSpread {
	return lnSpread{math.Log(s.Combination), math.Log(s.Tester), math.Log(s.Rest)}
}

func (x lnSpread) spread() Spread {
	return Spread{Combination: math.Exp(x[0]), Tester: math.Exp(x[1]), Rest: math.Exp(x[2])}
}

// spreadBounds returns the least and the most that one part may become, in logarithms.
func spreadBounds(part int) (low, high float64) {
	d := DefaultSpread().ln()[part]
	return d + math.Log(leastOfDefault), d + math.Log(mostOfDefault)
}

// hill is the logarithm of the likelihood of all products around a place: its value there, and its
// slope and curvature by differences.
type hill struct {
	at        lnSpread
	value     float64
	slope     [3]float64
	curvature [3][3]float64
}

// differenceStep is the step of the differences, in the logarithm of a spread: small against the
// width of the likelihood, large against the noise of the grids (chosen).
const differenceStep = 0.1

// survey computes the hill around x from ten places.
func (l *learner) survey(x lnSpread) hill {
	const h = differenceStep
	places := []lnSpread{x}
	move := func(parts ...int) {
		y := x
		for _, p := range parts {
			if p < 3 {
				y[p] += h
			} else {
				y[p-3] -= h
			}
		}
		places = append(places, y)
	}
	for a := range 3 {
		move(a)
		move(a + 3)
	}
	move(0, 1)
	move(0, 2)
	move(1, 2)
	v := l.lnLikelihoods(places)
	s := hill{at: x, value: v[0]}
	up, down := func(a int) float64 { return v[1+2*a] }, func(a int) float64 { return v[2+2*a] }
	for a := range 3 {
		s.slope[a] = (up(a) - down(a)) / (2 * h)
		s.curvature[a][a] = (up(a) + down(a) - 2*v[0]) / (h * h)
	}
	for k, pair := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
		a, b := pair[0], pair[1]
		s.curvature[a][b] = (v[7+k] - up(a) - up(b) + v[0]) / (h * h)
		s.curvature[b][a] = s.curvature[a][b]
	}
	return s
}

// lnLikelihoods sums the products' evidence at each place. The terms are sorted
// first, so that the order of the products cannot change a digit.
func (l *learner) lnLikelihoods(places []lnSpread) []float64 {
	spreads := make([]Spread, len(places))
	for i, x := range places {
		spreads[i] = x.spread()
	}
	terms := make([][]float64, len(places))
	for _, p := range l.products {
		for i, ln := range p.lnEvidence(spreads) {
			terms[i] = append(terms[i], ln)
		}
	}
	sums := make([]float64, len(places))
	for i := range terms {
		slices.Sort(terms[i])
		for _, t := range terms[i] {
			sums[i] += t
		}
	}
	return sums
}

// summit is where the climb ended.
type summit struct {
	hill
	gain float64 // over the default spreads
}

// The climb ends when no spread moves by more than closeEnough, in logarithms; it
// never strides further than longestStride at once.
const (
	closeEnough   = 0.005
	longestStride = 0.5
	mostStrides   = 30
)

// climb goes from the default spreads to the likeliest ones by Newton's method, within the bounds
// and within a stride that is halved after every step that did not lead up.
func (l *learner) climb() (summit, error) {
	here := l.survey(DefaultSpread().ln())
	start := here.value
	stride := longestStride
	for range mostStrides {
		next := here.best(stride, l.fixed)
		var moved float64
		for a := range next {
			moved = max(moved, math.Abs(next[a]-here.at[a]))
		}
		if moved < closeEnough {
			return summit{here, here.value - start}, nil
		}
		there := l.survey(next)
		if there.value < here.value {
			stride = moved / 2
			continue
		}
		here = there
	}
	return summit{}, ErrNotConverged
}

// best returns where the hill, taken as a parabola, is highest within the bounds and within a
// stride of its centre. It goes along one part after the other until nothing moves.
func (h *hill) best(stride float64, fixed [3]bool) lnSpread {
	x := h.at
	for range 200 {
		before := x
		for a := range x {
			if fixed[a] {
				continue
			}
			low, high := spreadBounds(a)
			low, high = max(low, h.at[a]-stride), min(high, h.at[a]+stride)
			x[a] = h.bestAlong(a, x, low, high)
		}
		if x == before {
			break
		}
	}
	return x
}

// bestAlong returns the highest point of the parabola along one part, the others held.
func (h *hill) bestAlong(a int, x lnSpread, low, high float64) float64 {
	slope := h.slope[a]
	for b := range x {
		if b != a {
			slope += h.curvature[a][b] * (x[b] - h.at[b])
		}
	}
	if bend := h.curvature[a][a]; bend < 0 {
		return min(max(h.at[a]-slope/bend, low), high)
	}
	// A hollow: one end or the other.
	rise := func(y float64) float64 { d := y - h.at[a]; return slope*d + h.curvature[a][a]*d*d/2 }
	if rise(low) > rise(high) {
		return low
	}
	return high
}

// atEdge reports whether the likelihood would go on rising beyond the bounds.
func (s *summit) atEdge(a int) bool {
	low, high := spreadBounds(a)
	return s.at[a] <= low || s.at[a] >= high
}

// deviations returns the standard deviations of the logarithms of the three parts, from the
// curvature at the top. A part that is fixed or at an edge does not move and counts as known. Where
// the hill has no proper top each part is taken alone.
func (s *summit) deviations(fixed [3]bool) [3]float64 {
	var precision [3][3]float64 // the inverse of the covariance
	held := func(a int) bool { return fixed[a] || s.atEdge(a) }
	for a := range 3 {
		for b := range 3 {
			if !held(a) && !held(b) {
				precision[a][b] = -s.curvature[a][b]
			}
		}
		if held(a) {
			precision[a][a] = 1
		}
	}
	minor := func(a int) float64 { // without line and column a
		b, c := (a+1)%3, (a+2)%3
		return precision[b][b]*precision[c][c] - precision[b][c]*precision[c][b]
	}
	det := precision[0][0]*minor(0) - precision[0][1]*(precision[0][1]*precision[2][2]-precision[1][2]*precision[0][2]) +
		precision[0][2]*(precision[0][1]*precision[1][2]-precision[1][1]*precision[0][2])
	proper := precision[0][0] > 0 && minor(2) > 0 && det > 0
	var out [3]float64
	for a := range out {
		if out[a] = s.alone(a); proper && !held(a) {
			out[a] = math.Sqrt(minor(a) / det)
		}
	}
	return out
}

// alone returns the standard deviation of one part with the others held, and +Inf where the hill is
// not curved down along it.
func (s *summit) alone(a int) float64 {
	if bend := -s.curvature[a][a]; bend > 0 {
		return 1 / math.Sqrt(bend)
	}
	return math.Inf(1)
}
