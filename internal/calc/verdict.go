package calc

import "math"

// Verdict is what an estimate says of a combination, by the limits of the share by the ceiling.
type Verdict string

// The verdicts.
const (
	ShowsInTime    Verdict = "shows in time"
	ShowsSometimes Verdict = "shows sometimes"
	TooSlow        Verdict = "too slow"
	NotExpected    Verdict = "not expected"
	NotSettled     Verdict = "not settled"
)

// The thresholds of the verdicts (the project's convention, no source).
const (
	mostShow          = 0.8 // "shows in time": the low limit is at least this
	fewShow           = 0.2 // "too slow", "not expected": the high limit is at most this
	slowSeconds       = 30  // "too slow": by this time …
	slowShare         = 0.5 // … at least this share has shown, on the mean
	settleProbability = 0.8 // MoreTests: of a settled verdict
	mostMoreTests     = 99
)

// Verdict returns what the estimate says for a ceiling:
//
//	shows in time    low ≥ 0.8
//	shows sometimes  low > 0.2 and high < 0.8
//	too slow         high ≤ 0.2, but the mean share by 30 s is at least ½
//	not expected     high ≤ 0.2 otherwise
//	not settled      everything else
func (f *Forecast) Verdict(ceiling Seconds) Verdict {
	return verdictOf(f.Share(ceiling), f.mean(slowSeconds))
}

// verdictOf returns the verdict from the share by the ceiling and the mean share by 30 s.
func verdictOf(s Share, laterMean float64) Verdict {
	switch {
	case s.Low >= mostShow:
		return ShowsInTime
	case s.High <= fewShow && laterMean >= slowShare:
		return TooSlow
	case s.High <= fewShow:
		return NotExpected
	case s.Low > fewShow && s.High < mostShow:
		return ShowsSometimes
	}
	return NotSettled
}

// MoreTests returns how many more tests of this set-up would likely settle the verdict: the
// smallest number after which it is settled with probability 0.8; not ok if that is more than 99.
//
// It is a guide, for it takes the margin at the ceiling as normal, with the forecast's mean and
// variance v. Each further test, by a hand of its own, adds 1/spread² to 1/v. The mean then lies
// where a normal distribution with the variance lost puts it. What another syringe adds is not
// in v, and no test takes it away.
func (f *Forecast) MoreTests(ceiling Seconds) (n int, ok bool) {
	m := f.margin(ceiling)
	mean, variance := m.moments()
	v := max(variance-square(lotSpread), 1e-9)
	for n = 1; n <= mostMoreTests; n++ {
		after := 1 / (1/v + float64(n)/square(m.test))
		if settledChance(mean, v-after, after+square(lotSpread), m.test) >= settleProbability {
			return n, true
		}
	}
	return 0, false
}

// settledChance returns the probability of a settled verdict if the margin's mean will be drawn
// from N(mean, moved) and its variance will be after.
func settledChance(mean, moved, after, spread float64) float64 {
	edge := spread * quantileOfNormal(mostShow) // the margin at which 0.8 show; at −edge 0.2 show
	reach := quantileOfNormal(1-tailOfShare) * math.Sqrt(after)
	below := func(x float64) float64 { return phi().at((x - mean) / math.Sqrt(moved)) }
	settled := 1 - below(edge+reach) + below(-edge-reach)
	if inside := edge - reach; inside > 0 {
		settled += below(inside) - below(-inside)
	}
	return settled
}
