package calc

import (
	"cmp"
	"math"
)

// Spread says how tests vary, as standard deviations of ln(suction): a test
// behaves as if its suction were the computed one times exp(δ + u + e).
type Spread struct {
	Combination float64 // δ: the combination's own departure from the model
	Tester      float64 // u: the tester's hand, drawn once for each tester and combination
	Rest        float64 // e: everything else
}

// DefaultSpread is assumed until a group's own repeats replace it (assumption,
// from memory).
func DefaultSpread() Spread { return Spread{Combination: 0.15, Tester: 0.08, Rest: 0.12} }

// Most set-ups depart from the model by δ of Spread.Combination. With the probability oddShare a
// set-up is odd (its wall class is not what the box says, a name is mixed up, the lot is blocked),
// and then δ has the standard deviation oddSpread. lotSpread is what another syringe or lot of the
// gel adds to the next test. All three are assumptions, from memory; no log replaces them.
const (
	oddShare  = 0.05
	oddSpread = 1.0
	lotSpread = 0.07
)

// oneTest is the standard deviation of one test, by any hand, around its combination's δ.
func (s Spread) oneTest() float64 { return math.Hypot(s.Tester, s.Rest) }

func (s Spread) check() error {
	return cmp.Or(positive("spread between combinations", s.Combination),
		notNegative("spread between testers", s.Tester), positive("spread of the rest", s.Rest))
}

// A slip of the pen or a wrong box: with the probability slipShare a line of the log tells nothing
// of the combination. Its outcome is then none with probability ½, and else a time that is
// log-uniform between slipFrom and slipTo (assumptions, from memory).
const (
	slipShare         = 0.02
	slipFrom  Seconds = 0.05
	slipTo    Seconds = 120
)

// leastSlip is the probability of a slip outside slipFrom … slipTo, so that no line that can be
// logged is impossible.
const leastSlip = 1e-9

// slipLikelihood is the probability of the trial's outcome if it is a slip.
func slipLikelihood(t Trial) float64 {
	if t.None() {
		return 0.5
	}
	lo, hi := max(t.From, slipFrom), min(t.To, slipTo)
	if hi <= lo {
		return leastSlip
	}
	return 0.5 * math.Log(float64(hi/lo)) / math.Log(float64(slipTo/slipFrom))
}
