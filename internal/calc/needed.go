package calc

import "math"

// needed is what δ + u + e has to be for flashback by either end of a trial's interval: the
// suction that the model asks for over the suction that there was, in logarithms. An open
// end is +Inf (from) or −Inf (to).
type needed struct{ from, to float64 }

// shortHalf is half the length, in ln(time), up to which an interval counts as short. The two
// ends of a short interval are taken from one straight line, which is off by less than 1e-4.
const shortHalf = 0.05

// suppose works out what the trials need if the product is g. It is the one part of the
// likelihood that does not depend on the spreads.
func (r *readySetup) suppose(g gelPoint) {
	table := exitTables()[g.rung]
	r.needed = r.needed[:0]
	for _, tube := range r.tubes {
		for _, hand := range r.hands {
			for i := range hand.trials {
				r.needed = append(r.needed, hand.trials[i].needed(table, g, tube.lnAspect))
			}
		}
	}
}

// neededIn returns what the trials need in the k-th possible tube, hand after hand.
func (r *readySetup) neededIn(k int) []needed {
	n := len(r.needed) / len(r.tubes)
	return r.needed[k*n : (k+1)*n]
}

func (t *readyTrial) needed(table *exitTable, g gelPoint, lnAspect float64) needed {
	if half := (t.lnTo - t.lnFrom) / 2; half < shortHalf {
		at, slope := table.lnSuctionSlope(g, lnAspect, (t.lnFrom+t.lnTo)/2)
		return needed{from: at - t.lnSuction - half*slope, to: at - t.lnSuction + half*slope}
	}
	n := needed{from: math.Inf(1), to: math.Inf(-1)}
	if t.From > 0 {
		n.from = table.lnSuction(g, lnAspect, t.lnFrom) - t.lnSuction
	}
	if !t.None() {
		n.to = table.lnSuction(g, lnAspect, t.lnTo) - t.lnSuction
	}
	return n
}
