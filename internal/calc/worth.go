package calc

import "math"

// Worth says what one more test of a set-up is expected to teach about the share
// that shows by the ceiling.
type Worth struct {
	Now      float64 // standard deviation of the share as it is known now
	Expected float64 // the same after one more test, over its possible outcomes
}

// Loss is the expected loss of uncertainty, 0 or more.
func (w Worth) Loss() float64 { return max(w.Now-w.Expected, 0) }

// Worth returns what one more test at the forecast's pull, watched for so long,
// is expected to teach. Outcomes are told apart in octaves of time below the
// time watched, which loses little: the spread between tests is wider than that.
// A slip of the pen is not reckoned with.
//
// Domain: ceiling > 0, watched > 0. Errors: *RangeError.
func (f *Forecast) Worth(ceiling, watched Seconds) (Worth, error) {
	if err := positive("ceiling", float64(ceiling)); err != nil {
		return Worth{}, err
	}
	if err := positive("seconds watched", float64(watched)); err != nil {
		return Worth{}, err
	}
	var now shareSum
	outcomes := make([]shareSum, outcomeEdges+1)
	at := f.margin(ceiling)
	edges := f.outcomeMargins(watched)
	table, spread := phi(), at.spread
	for i, weight := range at.weight {
		f.departure.each(i, func(δ, mass float64) {
			share := table.at((at.model[i] + δ) / spread)
			now.add(weight*mass, share)
			shownBefore := 0.0
			for k, edge := range edges {
				shown := table.at((edge.model[i] + δ) / spread)
				outcomes[k].add(weight*mass*(shown-shownBefore), share)
				shownBefore = shown
			}
			outcomes[outcomeEdges].add(weight*mass*(1-shownBefore), share)
		})
	}
	w := Worth{Now: math.Sqrt(now.variance())}
	for _, o := range outcomes {
		w.Expected += o.weight * math.Sqrt(o.variance())
	}
	return w, nil
}

// outcomeEdges is the number of times that part the outcomes of one more test.
const outcomeEdges = 8

// outcomeMargins are the margins at those times, earliest first.
func (f *Forecast) outcomeMargins(watched Seconds) []margin {
	edges := make([]margin, outcomeEdges)
	for k := range edges {
		edges[k] = f.margin(Seconds(math.Ldexp(float64(watched), k+1-outcomeEdges)))
	}
	return edges
}

// shareSum gathers a weighted mean and variance.
type shareSum struct{ weight, first, second float64 }

func (s *shareSum) add(weight, share float64) {
	s.weight += weight
	s.first += weight * share
	s.second += weight * share * share
}

func (s *shareSum) variance() float64 {
	if !(s.weight > 0) {
		return 0
	}
	mean := s.first / s.weight
	return max(s.second/s.weight-mean*mean, 0)
}
