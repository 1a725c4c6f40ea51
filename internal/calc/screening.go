package calc

import "math"

// NoFlashback is what no flashback is worth, told in whole placements.
type NoFlashback struct {
	Placements     int     // of so many placements …
	InVessel       int     // … so many have the tip in a vessel;
	Shown          int     // of those, so many show by the hold
	Hidden         int     // and so many do not
	ChanceInVessel float64 // the chance of being in a vessel once nothing has shown
	ChangesNothing bool    // nothing ever shows, so waiting tells nothing at all
}

// AfterNoFlashback returns what no flashback is worth if a share of placements
// has the tip in a vessel and a share of those shows by the hold.
//
//	chance = π(1−s) / (π(1−s) + 1−π)
//
// It takes false flashbacks as none. With s = 0 the chance is π itself, exactly:
// the hold changes nothing. A share from the bench is the best case, tissue can
// only lower it; ask again with both of its limits.
//
// Domain:   1 ≤ placements ≤ 1 000 000 000; 0 ≤ inVessel < 1; 0 ≤ shown ≤ 1.
// Accuracy: rounding only; the placements are rounded to whole ones and add up.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Bayes' theorem, without false flashbacks.
func AfterNoFlashback(placements int, inVessel, shown float64) (NoFlashback, error) {
	if placements < 1 || placements > 1_000_000_000 {
		return NoFlashback{}, &RangeError{Name: "placements", Value: float64(placements), Want: "1 to 1 000 000 000"}
	}
	if !(inVessel >= 0) || !(inVessel < 1) {
		return NoFlashback{}, &RangeError{Name: "share of placements in a vessel", Value: inVessel,
			Want: "0 or more, below 1"}
	}
	if err := checkShare("share shown", shown); err != nil {
		return NoFlashback{}, err
	}
	a := NoFlashback{Placements: placements, ChanceInVessel: inVessel, ChangesNothing: shown == 0}
	a.InVessel = int(math.Round(float64(placements) * inVessel))
	a.Shown = min(a.InVessel, int(math.Round(float64(placements)*inVessel*shown)))
	a.Hidden = a.InVessel - a.Shown
	if shown > 0 {
		hidden := inVessel * (1 - shown)
		a.ChanceInVessel = hidden / (hidden + 1 - inVessel)
	}
	return a, nil
}

// A working year where nobody has said otherwise. Round numbers for a clinic of one
// injector; chosen, without a published source.
const (
	UsualPlacementsPerDay = 10
	UsualDaysPerYear      = 200
)

// Habit is how often somebody waits, and for how long.
type Habit struct {
	Hold            Seconds
	PerDay          float64 // placements a day
	NothingExpected bool    // the combination is not expected to show, so the wait tells nothing
}

// Hours is waiting time over a year, in hours.
type Hours struct {
	Total, NothingExpected float64
}

// TimeSpent returns the hours that habits of waiting take up in a year, and how
// many of them go where nothing is expected to show.
//
//	hours = Σ hold × placements a day × days / 3600
//
// Domain:   0 ≤ hold ≤ 3600 s; 0 ≤ placements a day ≤ 10 000; 0 ≤ daysPerYear ≤ 366.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   arithmetic.
func TimeSpent(habits []Habit, daysPerYear float64) (Hours, error) {
	if !(daysPerYear >= 0) || daysPerYear > 366 {
		return Hours{}, &RangeError{Name: "days per year", Value: daysPerYear, Want: "0 to 366"}
	}
	var spent Hours
	for _, h := range habits {
		if !(h.Hold >= 0) || h.Hold > 3600 {
			return Hours{}, &RangeError{Name: "hold", Value: float64(h.Hold), Want: "0 to 3600 s"}
		}
		if !(h.PerDay >= 0) || h.PerDay > 10_000 {
			return Hours{}, &RangeError{Name: "placements a day", Value: h.PerDay, Want: "0 to 10 000"}
		}
		hours := float64(h.Hold) * h.PerDay * daysPerYear / 3600
		spent.Total += hours
		if h.NothingExpected {
			spent.NothingExpected += hours
		}
	}
	return spent, nil
}

// checkShare returns a *RangeError unless the share is between 0 and 1.
func checkShare(name string, share float64) error {
	if !(share >= 0) || share > 1 {
		return &RangeError{Name: name, Value: share, Want: "0 to 1"}
	}
	return nil
}
