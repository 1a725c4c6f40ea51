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
	taken        []string // the options that were not given, for which usual values are taken

	here  calc.Hours // with all placements on the combination asked about
	stock calc.Hours // with the placements spread evenly over what is stocked, if the asker gave a working year
	whose string     // whose stock: "you" or "the group"; "" where none is on record
	parts int        // how many combinations of that stock were counted
	cut   bool       // there are more, held by fewer members or recorded later

	nothing []trade.Combination // those where nothing is expected to show
	tested  int                 // how many of nothing are so by the group's own tests
}

// workYearOf computes the hours on the combination asked about and, if the asker gave placements or days, over what the
// asker stocks, or else the group.
func workYearOf(ctx context.Context, env *Env, call *Call, n negative) (y workYear, err error) {
	y = workYear{perDay: calc.UsualPlacementsPerDay, days: calc.UsualDaysPerYear}
	for _, o := range []struct {
		name string
		into *float64
	}{{placementsOption, &y.perDay}, {daysOption, &y.days}} {
		if value, given := call.number(o.name); given {
			*o.into = value
		} else {
			y.taken = append(y.taken, o.name)
		}
	}
	here := calc.Habit{Hold: n.hold, PerDay: y.perDay, NothingExpected: nothingExpected(n.evidence)}
	if y.here, err = calc.TimeSpent([]calc.Habit{here}, y.days); err != nil {
		return y, err
	}
	if len(y.taken) == 2 {
		return y, nil // nothing was said about a working year
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

// mostStocked is how many combinations of a stock are counted at most, so that a large group's answer does not take
// long.
const mostStocked = 40

// addStock sums up the hold of each stocked combination: the one asked about, else the one advised, else the ceiling.
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

// nothingExpected reports whether nothing is expected to show in any useful time, by tests or, without them, by
// calculation.
func nothingExpected(e *knowledge.Evidence) bool { return e.Verdict == calc.NotExpected }

// stockOf is what the asker stocks with a needle or cannula, each combination once; the group's stock where the asker
// has none on record.
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
		taken = " (usual " + strings.Join(y.taken, " and ") + ", since you gave none)"
	}
	words := hoursWords(y.here.Total) + " a year: " + exactSeconds(float64(n.hold)) + " × " + trimNumber(y.perDay) +
		" placements a day × " + trimNumber(y.days) + " days" + taken
	if y.here.NothingExpected > 0 {
		words += "; all of it where nothing is expected to show"
	}
	c.fact("Waiting", "%s", words)
	if y.parts > 0 {
		label := map[string]string{"you": "Over what you stock", "the group": "Over what the group stocks"}[y.whose]
		c.fact(label, "%s", stockHours(y))
	}
}

// mostNamed is how many combinations are named where nothing is expected to show.
const mostNamed = 3

// stockHours says the hours over the stock, and how many of them are spent where nothing is expected to show.
func stockHours(y workYear) string {
	words := hoursWords(y.stock.Total) + " a year, the placements spread evenly over " + count(y.parts, "combination")
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

// cutWords says which part of a large stock was counted.
func cutWords(whose string) string {
	if whose == "you" {
		return "the first on record"
	}
	return "those that most members hold"
}

// hoursWords is a time in hours, to two significant digits below ten; in minutes below one hour.
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
