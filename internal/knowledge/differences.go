package knowledge

import (
	"maps"
	"math"
	"slices"
)

// compareAll compares subjects, testers or lots, by their tests; these are sorted by
// combination and pull.
func compareAll[K comparable](tests []BenchTest, subject func(BenchTest) K, isHand bool, s spreads) map[K]*differences {
	found := make(map[K]*differences)
	for rest := tests; len(rest) > 0; {
		n := 1
		for n < len(rest) && shouldAgree(rest[0], rest[n]) {
			n++
		}
		compare(found, rest[:n], subject, isHand, s)
		rest = rest[n:]
	}
	return found
}

// apart is how far one subject's mean lies from that of the others on one combination and
// pull, in ln time, and the variance of it if the subject made no difference.
type apart struct {
	ln, variance float64
	repeats      float64           // the part of the variance that comes from the repeats
	left         map[int64]float64 // signed standard deviation that each hand leaves; nil if the subject is a hand
}

// differences are those of one subject, a tester or a lot, from the others.
type differences struct {
	tests        int
	combinations map[combinationKey]bool
	hands        map[int64]bool
	apart        []apart
}

// lnTimes is a sum of ln times, and how many of them each hand made.
type lnTimes struct {
	n     int
	sum   float64
	hands map[int64]int
}

func (t *lnTimes) add(test BenchTest) {
	if t.hands == nil {
		t.hands = make(map[int64]int)
	}
	t.n++
	t.sum += math.Log(test.Seconds)
	t.hands[test.Tester.ID]++
}

// compare adds the tests of one combination and pull to the sums of their subjects.
//
// A mean scatters by its repeats and by the hands in it. What a hand adds cancels as far as
// the same hand tested both the subject and the others. If the subject is itself a hand, its
// own departure is what is measured and is not counted as scatter.
func compare[K comparable](sums map[K]*differences, tests []BenchTest, subject func(BenchTest) K, isHand bool,
	s spreads) {
	own, all := make(map[K]*lnTimes), lnTimes{}
	for _, t := range tests {
		k := subject(t)
		if own[k] == nil {
			own[k] = &lnTimes{}
		}
		own[k].add(t)
		all.add(t)
	}
	if len(own) < 2 {
		return
	}
	for k, o := range own {
		n, others := float64(o.n), float64(all.n-o.n)
		var hands float64 // sum of the squares of what is left of each hand
		left := make(map[int64]float64)
		for _, hand := range slices.Sorted(maps.Keys(all.hands)) { // in order: the same log gives the same digits
			mine, total := o.hands[hand], all.hands[hand]
			if isHand && mine > 0 {
				continue
			}
			share := float64(mine)/n - float64(total-mine)/others
			hands += share * share
			left[hand] = s.hand * share
		}
		if isHand {
			left = nil
		}
		if sums[k] == nil {
			sums[k] = &differences{combinations: make(map[combinationKey]bool), hands: make(map[int64]bool)}
		}
		sums[k].tests += o.n
		sums[k].combinations[keyOf(tests[0].Combination)] = true
		for hand := range o.hands {
			sums[k].hands[hand] = true
		}
		repeats := s.repeats * s.repeats * (1/n + 1/others)
		sums[k].apart = append(sums[k].apart, apart{
			ln: o.sum/n - (all.sum-o.sum)/others, variance: repeats + s.hand*s.hand*hands, repeats: repeats, left: left,
		})
	}
}

// middle is the mean of the differences, weighted by the inverse of their variances, and its
// standard deviation. If they scatter more than their variances say, the tester's hand is not
// the same on every combination, and the standard deviation is widened by as much (Birge,
// Physical Review 40 (1932) 207, from memory). It is not ok if nothing was repeated.
func (h *differences) middle() (mean, deviation float64, ok bool) {
	var weight, weighted float64
	for _, a := range h.apart {
		if !(a.variance > 0) {
			return 0, 0, false
		}
		weight += 1 / a.variance
		weighted += a.ln / a.variance
	}
	mean = weighted / weight
	var scatter float64
	for _, a := range h.apart {
		scatter += (a.ln - mean) * (a.ln - mean) / a.variance
	}
	deviation = 1 / math.Sqrt(weight)
	if n := len(h.apart); n > 1 {
		deviation *= math.Sqrt(max(1, scatter/float64(n-1)))
	}
	return mean, max(deviation, h.ofSameHands(weight)), true
}

// ofSameHands is the standard deviation of the middle if a hand departs equally on every
// combination and so does not average out. It is 0 if the subject is a hand.
func (h *differences) ofSameHands(weight float64) float64 {
	var variance float64
	left := make(map[int64]float64)
	for _, a := range h.apart {
		if a.left == nil {
			return 0
		}
		w := 1 / a.variance / weight
		variance += w * w * a.repeats
		for hand, d := range a.left {
			left[hand] += w * d
		}
	}
	for _, hand := range slices.Sorted(maps.Keys(left)) {
		variance += left[hand] * left[hand]
	}
	return math.Sqrt(variance)
}

// ratio is a subject's times divided by those of the others: the middle and its limits at
// TesterConfidence, all 0 if they cannot be computed. h is nil if there is nothing to compare.
func (h *differences) ratio() (middle, low, high float64) {
	if h == nil {
		return 0, 0, 0
	}
	ln, deviation, ok := h.middle()
	if !ok {
		return 0, 0, 0
	}
	reach := testerZ * deviation
	return math.Exp(ln), math.Exp(ln - reach), math.Exp(ln + reach)
}
