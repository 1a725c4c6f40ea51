package knowledge

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"math"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// OpenCombination is a combination that members use and that is untested or not settled.
type OpenCombination struct {
	Combination  trade.Combination
	Users        int          // members who hold the product and use it with this
	Tests        int          // kept tests of it
	Verdict      calc.Verdict // of the estimate, tested or not
	Worth        calc.Worth   // what one more test is expected to teach about the share by the ceiling
	Score        float64      // Users × Worth.Loss()
	NewlyStocked bool         // nobody stocked it until lately
	StockedOn    string       // the day it was first stocked, 2006-01-02
	Claim        *Claim       // who is testing it; nil if nobody
	Why          string       // why it stands where it stands, in plain words
}

// What decides the order beside the worth (project's choice, no source).
const (
	newlyStockedDays = 28   // newly stocked for so long
	scoreTie         = 0.01 // scores tie that are the same to a hundredth
	tellsMuch        = 0.08 // a test tells much that narrows the share so far
	tellsLittle      = 0.03 // and little below this
	shortestWatch    = 30   // s: a verdict looks so far ahead
	longestWatch     = 120  // s
)

// WatchSeconds is how long a bench test is usefully watched: twice the ceiling,
// at least the 30 s that the verdicts look ahead, at most 120 s. A none after
// that says all that another minute could.
func WatchSeconds(ceiling calc.Seconds) calc.Seconds {
	return min(max(2*ceiling, shortestWatch), longestWatch)
}

// Untested returns every combination in stock that was never tested or is not
// settled, in order of what a test of it is worth: how many members use it,
// times how much one more test is expected to narrow the share that shows by the
// ceiling. Of those that tie the newly stocked come first. The order is the same
// whenever it is asked for. Stock without an instrument is left out.
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
	used, claims, ask, err := g.inUse(ctx, today)
	if err != nil {
		return nil, err
	}
	if used, err = g.appraise(ctx, used, ask); err != nil {
		return nil, err
	}
	for _, o := range used {
		if o.Tests > 0 && o.Verdict != calc.NotSettled {
			continue
		}
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

// inUse reads, as one snapshot, what members use, the claims on it that stand on
// that day, and what the community has set.
func (g *Group) inUse(ctx context.Context, today string) (used []OpenCombination, claims map[combinationKey]Claim, ask question, err error) {
	ask.pull = calc.DefaultPull
	claims = make(map[combinationKey]Claim)
	err = g.store.snapshot(ctx, func(q querier) error {
		if err := q.Row(ctx, `
			SELECT ceiling_s, target_share FROM communities WHERE id = ?`, g.id,
		).Scan(&ask.ceiling, &ask.target); err != nil {
			return err
		}
		open, err := g.readClaims(ctx, q, `c.community_id = ? AND c.closed_on = '' AND c.due_on >= ?`, g.id, today)
		if err != nil {
			return err
		}
		for _, claim := range open {
			claims[keyOf(claim.Combination)] = claim
		}
		used, err = g.readInUse(ctx, q)
		return err
	})
	return used, claims, ask, err
}

func (g *Group) readInUse(ctx context.Context, q querier) ([]OpenCombination, error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return nil, err
	}
	return database.Collect(ctx, q, func(rows *sql.Rows, o *OpenCombination) (err error) {
		var k combinationKey
		if err := rows.Scan(&k.product, &k.instrument, &k.syringe, &o.Users, &o.StockedOn, &o.Tests); err != nil {
			return err
		}
		o.Combination, err = v.combination(k)
		return err
	}, `
		SELECT s.product_id, s.instrument_id, s.syringe_id, COUNT(DISTINCT s.member_id),
		       MIN(s.stocked_on), COALESCE(MAX(t.kept_tests), 0)
		FROM stock s
		LEFT JOIN tested_combinations t ON t.product_id = s.product_id
		     AND t.instrument_id = s.instrument_id AND t.syringe_id = s.syringe_id
		WHERE s.community_id = ? AND s.instrument_id IS NOT NULL
		GROUP BY s.product_id, s.instrument_id, s.syringe_id
		ORDER BY s.product_id, s.instrument_id, s.syringe_id`, g.id)
}

// worthMore orders open combinations, the one most worth testing first.
func worthMore(a, b OpenCombination) int {
	day := func(o OpenCombination) string { // the latest stocked first, of the newly stocked
		if o.NewlyStocked {
			return o.StockedOn
		}
		return ""
	}
	ka, kb := keyOf(a.Combination), keyOf(b.Combination)
	return cmp.Or(
		-cmp.Compare(math.Round(a.Score/scoreTie), math.Round(b.Score/scoreTie)),
		-cmp.Compare(day(a), day(b)),
		-cmp.Compare(a.Score, b.Score),
		cmp.Compare(ka.product, kb.product), cmp.Compare(ka.instrument, kb.instrument), cmp.Compare(ka.syringe, kb.syringe),
	)
}

// why says why it stands where it stands: "3 members use it, never tested; one
// test would tell much".
func (o OpenCombination) why() string {
	text := "1 member uses it"
	if o.Users != 1 {
		text = fmt.Sprintf("%d members use it", o.Users)
	}
	if o.NewlyStocked {
		text += ", newly stocked"
	}
	switch o.Tests {
	case 0:
		text += ", never tested; "
	case 1:
		text += ", not settled by 1 test; "
	default:
		text += fmt.Sprintf(", not settled by %d tests; ", o.Tests)
	}
	switch loss := o.Worth.Loss(); {
	case loss >= tellsMuch:
		return text + "one test would tell much"
	case loss >= tellsLittle:
		return text + "one test would tell something"
	}
	return text + "one test would tell little"
}
