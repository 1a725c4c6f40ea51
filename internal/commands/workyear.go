package commands

import (
	"context"
	"math"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// workYear is the time that waiting takes in a year.
type workYear struct {
	perDay, days float64
	taken        []string // options that were not given: the usual values are taken

	here  calc.Hours // all placements with the combination asked about
	stock calc.Hours // the placements shared evenly over what is stocked, where the asker told of a working day
	whose string     // whose stock: "you" or "the group"; "" if none is on record
	parts int        // combinations in that stock that were looked at
	cut   bool       // there are more, held by fewer or recorded later

	nothing []trade.Combination // those of them where nothing is expected to show
	tested  int                 // of nothing, so many by the group's own tests
}

// workYearOf works out the hours: on the combination asked about; where the asker told of
// a working year, also over what the asker stocks, or else the group.
func workYearOf(ctx context.Context, env *Env, call *Call, n negative) (y workYear, err error) {
	y = workYear{perDay: calc.UsualPlacementsPerDay, days: calc.UsualDaysPerYear}
	perDay, placementsSaid := call.number(placementsOption)
	days, daysSaid := call.number(daysOption)
	if placementsSaid {
		y.perDay = perDay
	} else {
		y.taken = append(y.taken, placementsOption)
	}
	if daysSaid {
		y.days = days
	} else {
		y.taken = append(y.taken, daysOption)
	}
	here := calc.Habit{Hold: n.hold, PerDay: y.perDay, NothingExpected: nothingExpected(n.evidence)}
	if y.here, err = calc.TimeSpent([]calc.Habit{here}, y.days); err != nil {
		return y, err
	}
	if !placementsSaid && !daysSaid {
		return y, nil // who does not tell of a working year has not asked about one
	}
	var stocked []trade.Combination
	if y.whose, stocked, err = stockOf(ctx, env, call.Asker); err != nil || len(stocked) == 0 {
		return y, err
	}
	if y.cut = len(stocked) > mostStocked; y.cut {
		stocked = stocked[:mostStocked]
	}
	return y, y.addStock(ctx, env, stocked, n)
}

// mostStocked bounds how many combinations of a stock are looked at, so that a large
// group's answer does not keep anybody waiting.
const mostStocked = 40

// addStock sums up the hold of each stocked combination: the one asked for, or the
// one advised there, or else the ceiling.
func (y *workYear) addStock(ctx context.Context, env *Env, stocked []trade.Combination, n negative) (err error) {
	y.parts = len(stocked)
	var habits []calc.Habit
	for _, c := range stocked {
		e, err := env.Group.Evidence(ctx, c, n.evidence.Pull)
		if err != nil {
			return err
		}
		h := calc.Habit{Hold: e.Ceiling, PerDay: y.perDay / float64(len(stocked)), NothingExpected: nothingExpected(e)}
		if hold := holdSeconds(e); n.from == asAsked {
			h.Hold = n.hold
		} else if hold != nil {
			h.Hold = calc.Seconds(*hold)
		}
		if h.NothingExpected {
			y.nothing = append(y.nothing, e.Combination)
			if e.State == calc.StateNotExpected {
				y.tested++
			}
		}
		habits = append(habits, h)
	}
	y.stock, err = calc.TimeSpent(habits, y.days)
	return err
}

// nothingExpected reports whether the tests, or the calculation where there are
// none, expect nothing to show in any useful time.
func nothingExpected(e *knowledge.Evidence) bool { return e.Verdict == calc.NotExpected }

// stockOf is what the asker stocks with a needle or cannula named, each combination
// once; the group's stock where the asker has none on record.
func stockOf(ctx context.Context, env *Env, asker Asker) (whose string, stocked []trade.Combination, err error) {
	m, err := env.known(ctx, asker.Ref)
	if err != nil {
		return "", nil, err
	}
	if m.ID != 0 {
		items, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: m.ID})
		if err != nil {
			return "", nil, err
		}
		for _, item := range items {
			if item.Combination.Instrument != (trade.Instrument{}) {
				stocked = append(stocked, item.Combination)
			}
		}
		if len(stocked) > 0 {
			return "you", stocked, nil
		}
	}
	all, err := env.Group.Stocked(ctx)
	for _, s := range all {
		stocked = append(stocked, s.Combination)
	}
	return "the group", stocked, err
}

// yearFacts says the time in one line for the combination and one for the stock.
func yearFacts(c *Card, n negative) {
	y := n.year
	taken := ""
	if len(y.taken) > 0 {
		taken = " (" + strings.Join(y.taken, " and ") + " taken as usual, since you did not say)"
	}
	words := hoursWords(y.here.Total) + " a year: " + exactSeconds(float64(n.hold)) + " × " + trimNumber(y.perDay) +
		" placements a day × " + trimNumber(y.days) + " days" + taken
	if y.here.NothingExpected > 0 {
		words += "; all of it where nothing is expected to show"
	}
	c.fact("Waiting", "%s", words)
	if y.parts > 0 {
		c.fact("Over what "+y.whose+" stock"+thirdPerson(y.whose), "%s", stockHours(y))
	}
}

func thirdPerson(whose string) string {
	if whose == "you" {
		return ""
	}
	return "s"
}

// mostNamed is how many combinations are named where nothing is expected to show.
const mostNamed = 3

// stockHours says the hours over the stock and where they go for nothing.
func stockHours(y workYear) string {
	words := hoursWords(y.stock.Total) + " a year, the placements shared evenly over " + count(y.parts, "combination")
	if y.cut {
		words += ", " + cutWords(y.whose)
	}
	if len(y.nothing) == 0 {
		return words + "; none of it where nothing is expected to show"
	}
	var names []string
	for _, c := range y.nothing {
		names = append(names, stockWords(c))
	}
	by := ", by tests"
	switch {
	case y.tested == 0:
		by = ", by calculation, not by tests"
	case y.tested < len(y.nothing):
		by = ", " + trimNumber(float64(y.tested)) + " by tests, the others by calculation"
	}
	return words + "; " + hoursWords(y.stock.NothingExpected) + " of them where nothing is expected to show (" +
		someOf(names, mostNamed, "; ") + by + ")"
}

// cutWords says which part of a large stock was looked at.
func cutWords(whose string) string {
	if whose == "you" {
		return "the first on record"
	}
	return "those that most members hold"
}

// hoursWords is a time in hours, to two digits that count below ten; in minutes below
// one hour.
func hoursWords(h float64) string {
	switch {
	case h < 0.95:
		return count(int(math.Round(h*60)), "minute")
	case h < 1.05:
		return "1 hour"
	case h < 9.95:
		return trimNumber(math.Round(h*10)/10) + " hours"
	}
	return trimNumber(math.Round(h)) + " hours"
}
