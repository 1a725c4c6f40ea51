package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"math"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

// OpenCombination is a combination that members use and for which more tests may give or
// settle a hold.
type OpenCombination struct {
	Combination  trade.Combination
	Users        int         // members who hold the product and use it with this
	Tests        int         // kept tests of it
	State        calc.State  // what may be said of it; "" for untested
	Advice       calc.Advice // its tests that count for a hold, and how many are missing
	Worth        calc.Worth  // what one more test is expected to teach about the share by the ceiling
	Score        float64     // Users × Worth.Loss()
	NewlyStocked bool        // nobody stocked it until lately
	StockedOn    string      // the day it was first stocked, 2006-01-02
	Claim        *Claim      // who is testing it; nil if nobody
	Why          string      // why it is at this place in the list, in plain words
}

// What decides the order beside the worth (project's choice, no source).
const (
	newlyStockedDays = 28   // days that a combination counts as newly stocked
	scoreTie         = 0.01 // scores tie when they round to the same hundredth
	tellsMuch        = 0.08 // calc.Worth.Loss from which a test tells much
	tellsLittle      = 0.03 // and below which it tells little
	shortestWatch    = 30   // s: how far ahead a verdict looks
	longestWatch     = 120  // s
)

// WatchSeconds is how long to watch a bench test: twice the ceiling, at least the 30 s that
// verdicts look ahead, at most 120 s. Watching longer would tell nothing more.
func WatchSeconds(ceiling calc.Seconds) calc.Seconds {
	return min(max(2*ceiling, shortestWatch), longestWatch)
}

// Untested returns every combination in stock for which more tests may give or settle a
// hold. Combinations that lack only tests to a hold come first, those with fewest missing
// in front. The others follow by what a test is worth: how many members use the
// combination, times how much one more test is expected to narrow the share that shows by
// the ceiling. Among ties the newly stocked come first. The order is always the same for
// the same log. Stock without an instrument and what was retired are left out. It first
// brings the estimates up to date.
//
// Errors: *FieldError for a day that is none.
func (g *Group) Untested(ctx context.Context, today string) (open []OpenCombination, err error) {
	defer wrap(&err, "untested combinations")
	if err := trade.CheckDay("today", today); err != nil {
		return nil, err
	}
	latest, err := addDays(today, -newlyStockedDays)
	if err != nil {
		return nil, err
	}
	if err := g.bringUpToDate(ctx, goBy); err != nil {
		return nil, err
	}
	used, claims, ask, err := g.inUse(ctx, today)
	if err != nil {
		return nil, err
	}
	used = slices.DeleteFunc(used, func(o OpenCombination) bool {
		c := o.Combination
		retired := c.Product.RetiredOn != "" || c.Instrument.RetiredOn != "" || c.Syringe.RetiredOn != ""
		return retired || o.Tests > 0 && !TestsMayMend(o.State)
	})
	if used, err = g.appraise(ctx, used, ask); err != nil {
		return nil, err
	}
	for _, o := range used {
		o.Score = float64(o.Users) * o.Worth.Loss()
		o.NewlyStocked = o.StockedOn >= latest
		if claim, taken := claims[keyOf(o.Combination)]; taken {
			o.Claim = &claim
		}
		o.Why = o.why()
		open = append(open, o)
	}
	slices.SortFunc(open, worthMore)
	return open, nil
}

// TestsMayMend reports whether more tests may give or settle a hold for a combination in
// this state.
func TestsMayMend(state calc.State) bool {
	switch state {
	case calc.StateHold, calc.StateShowsSometimes, calc.StateTooSlow, calc.StateNotExpected,
		calc.StateUnlikeTheOthers, calc.StateUnlikeItsClass:
		return false
	}
	return true
}

// inUse reads, in one snapshot, the combinations that members use, the claims that are open
// on that day, and the community's rule.
func (g *Group) inUse(ctx context.Context, today string) (used []OpenCombination, claims map[combinationKey]Claim,
	ask question, err error) {
	ask.pull = calc.DefaultPull
	claims = make(map[combinationKey]Claim)
	err = g.store.snapshot(ctx, func(q querier) error {
		if ask.rule, err = g.holdRule(ctx, q); err != nil {
			return err
		}
		open, err := g.readClaims(ctx, q, `c.community_id = ? AND c.closed_on = '' AND c.due_on >= ?`, g.id, today)
		if err != nil {
			return err
		}
		for _, claim := range open {
			claims[keyOf(claim.Combination)] = claim
		}
		used, err = g.readInUse(ctx, q, ask.rule)
		return err
	})
	return used, claims, ask, err
}

func (g *Group) readInUse(ctx context.Context, q querier, rule calc.HoldRule) ([]OpenCombination, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, o *OpenCombination) (err error) {
		var k combinationKey
		a := &o.Advice
		if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &o.Users, &o.StockedOn, &o.Tests,
			&o.State, &a.Tests, &a.Members, &a.Near); err != nil {
			return err
		}
		a.NeededTests, a.NeededMembers = max(rule.LeastTests-a.Tests, 0), max(rule.LeastMembers-a.Members, 0)
		o.Combination, err = v.combination(k)
		return err
	}, `
		SELECT s.product_id, s.instrument_id, s.syringe_id, COUNT(DISTINCT s.member_id),
		       MIN(s.stocked_on), COALESCE(MAX(t.kept_tests), 0),
		       COALESCE(MAX(v.state), ''), COALESCE(MAX(v.tests), 0), COALESCE(MAX(v.members), 0), COALESCE(MAX(v.near), 0)
		FROM stock s
		LEFT JOIN tested_combinations t ON t.product_id = s.product_id
		     AND t.instrument_id = s.instrument_id AND t.syringe_id = s.syringe_id
		LEFT JOIN verdicts v ON v.product_id = s.product_id
		     AND v.instrument_id = s.instrument_id AND v.syringe_id = s.syringe_id
		WHERE s.community_id = ? AND s.instrument_id IS NOT NULL
		GROUP BY s.product_id, s.instrument_id, s.syringe_id
		ORDER BY s.product_id, s.instrument_id, s.syringe_id`, g.id)
}

// missing is how many tests a hold lacks; more than any possible number if something else
// withholds it.
func (o OpenCombination) missing() int {
	if !o.Advice.Near {
		return MaxLeast + 1
	}
	return o.Advice.Missing()
}

// worthMore orders open combinations, the one most worth testing first.
func worthMore(a, b OpenCombination) int {
	day := func(o OpenCombination) string { // of the newly stocked, the latest comes first
		if o.NewlyStocked {
			return o.StockedOn
		}
		return ""
	}
	ka, kb := keyOf(a.Combination), keyOf(b.Combination)
	return cmp.Or(
		cmp.Compare(a.missing(), b.missing()),
		-cmp.Compare(math.Round(a.Score/scoreTie), math.Round(b.Score/scoreTie)),
		-cmp.Compare(day(a), day(b)),
		-cmp.Compare(a.Score, b.Score),
		cmp.Compare(ka.product, kb.product), cmp.Compare(ka.instrument, kb.instrument),
		cmp.Compare(ka.syringe, kb.syringe),
	)
}

// why says why it is at this place in the list: "3 use it, untested; a test tells much".
func (o OpenCombination) why() string {
	text := "1 uses it"
	if o.Users != 1 {
		text = fmt.Sprintf("%d use it", o.Users)
	}
	if o.NewlyStocked {
		text += ", new in stock"
	}
	switch {
	case o.Advice.Near:
		return text + "; " + say.Missing(o.Advice) + " would likely give a hold"
	case o.Tests == 0:
		text += ", untested; "
	case o.State == calc.StateTooFewTests || o.State == calc.StateTooFewMembers:
		text += fmt.Sprintf(", %s by %s; ", say.Count(o.Advice.Tests, "test"), say.Count(o.Advice.Members, "member"))
	default:
		text += fmt.Sprintf(", %s after %s; ", say.State(o.State), say.Count(o.Tests, "test"))
	}
	switch loss := o.Worth.Loss(); {
	case loss >= tellsMuch:
		return text + "a test tells much"
	case loss >= tellsLittle:
		return text + "a test tells something"
	}
	return text + "a test tells little"
}
