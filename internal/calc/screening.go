package calc

import (
	"cmp"
	"math"
)

// NoFlashback is what no flashback is worth, told in whole placements.
type NoFlashback struct {
	Placements     int
	InVessel       int     // placements with the tip in a vessel
	Shown          int     // of InVessel: those that show by the hold
	Hidden         int     // of InVessel: those that do not
	ChanceInVessel float64 // the chance that the tip is in a vessel once nothing has shown
	ChangesNothing bool    // nothing ever shows, so waiting tells nothing
}

// AfterNoFlashback returns what no flashback is worth if a share of placements
// has the tip in a vessel and a share of those shows by the hold.
//
//	chance = π(1−s) / (π(1−s) + 1−π)
//
// with π the share in a vessel and s the share shown. There are taken to be no false flashbacks.
// With s = 0 the chance is exactly π: the hold changes nothing. A share from the bench is the best
// case, for tissue can only lower it; callers ask with both of its limits as well.
//
// Domain:   1 ≤ placements ≤ 1 000 000 000; 0 ≤ inVessel < 1; 0 ≤ shown ≤ 1.
// Accuracy: rounding only; the placements are rounded to whole ones and add up.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Bayes' theorem, without false flashbacks.
func AfterNoFlashback(placements int, inVessel, shown float64) (NoFlashback, error) {
	err := cmp.Or(within("placements", float64(placements), 1, 1e9, "1 to 1 000 000 000"),
		within("share of placements in a vessel", inVessel, 0, math.Nextafter(1, 0), "0 or more, below 1"),
		within("share shown", shown, 0, 1, "0 to 1"))
	if err != nil {
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

// The working year of a member who has not named one: round numbers for a clinic of one injector.
// Chosen, without a published source.
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

// Hours is waiting time over a year, in hours. NothingExpected is the part of Total that goes where
// nothing is expected to show.
type Hours struct {
	Total, NothingExpected float64
}

// TimeSpent returns the hours that habits of waiting take up in a year.
//
//	hours = Σ hold × placements a day × days / 3600
//
// Domain:   0 ≤ hold ≤ 3600 s; 0 ≤ placements a day ≤ 10 000; 0 ≤ daysPerYear ≤ 366.
// Accuracy: rounding only.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   arithmetic.
func TimeSpent(habits []Habit, daysPerYear float64) (Hours, error) {
	if err := within("days per year", daysPerYear, 0, 366, "0 to 366"); err != nil {
		return Hours{}, err
	}
	var spent Hours
	for _, h := range habits {
		err := cmp.Or(within("hold", float64(h.Hold), 0, 3600, "0 to 3600 s"),
			within("placements a day", h.PerDay, 0, 10_000, "0 to 10 000"))
		if err != nil {
			return Hours{}, err
		}
		hours := float64(h.Hold) * h.PerDay * daysPerYear / 3600
		spent.Total += hours
		if h.NothingExpected {
			spent.NothingExpected += hours
		}
	}
	return spent, nil
}
