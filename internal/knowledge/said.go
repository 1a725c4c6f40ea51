package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/database"
)

// saidBefore is what the previous estimate said, with what it was made from.
type saidBefore struct {
	there    bool  // there was a previous estimate
	latest   int64 // the community's latest test when it was made; −1 not recorded
	model    int   // the computation that made it
	log      int64 // the version of the product's log
	spread   int64 // the version of the spread
	verdicts map[combinationKey]saidBy
}

// saidBy is what was said of a combination, and by which rule.
type saidBy struct {
	state  calc.State
	advice calc.Advice
	rule   calc.HoldRule
	tests  int // kept tests of it
}

// sayAll returns what the estimate says of each tested combination of the product, at the
// usual pull.
func (f *productFile) sayAll(rule calc.HoldRule) (map[combinationKey]saidBy, error) {
	all := make(map[combinationKey]saidBy)
	for _, t := range f.tested {
		r, err := f.reading(question{t.setup, calc.DefaultPull, rule})
		if err != nil {
			return nil, err
		}
		k := keyOf(t.combination)
		w, err := r.weigh(f, k, rule)
		if err != nil {
			return nil, err
		}
		all[k] = saidBy{w.advice.State(), w.advice, rule, t.tests}
	}
	return all, nil
}

func (g *Group) saidBefore(ctx context.Context, q querier, product int64) (b saidBefore, err error) {
	b.verdicts = make(map[combinationKey]saidBy)
	err = q.Row(ctx, `
		SELECT latest_test, model, log_version, spread_version FROM estimates
		WHERE community_id = ? AND product_id = ?`, g.id, product,
	).Scan(&b.latest, &b.model, &b.log, &b.spread)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	} else {
		b.there = true
	}
	if err != nil {
		return b, err
	}
	type row struct {
		k combinationKey
		saidBy
	}
	rows, err := database.Collect(ctx, q, func(rows *sql.Rows, r *row) error {
		return rows.Scan(append([]any{&r.k.product, &r.k.instrument, &r.k.syringe, &r.state}, scanRule(&r.rule)...)...)
	}, `
		SELECT product_id, instrument_id, syringe_id, state, ceiling_s, target_share, least_tests, least_members
		FROM verdicts WHERE community_id = ? AND product_id = ?`, g.id, product)
	for _, r := range rows {
		b.verdicts[r.k] = r.saidBy
	}
	return b, err
}

func (g *Group) replaceVerdicts(ctx context.Context, q querier, product int64, now map[combinationKey]saidBy) error {
	if err := q.do(ctx, `
		DELETE FROM verdicts WHERE community_id = ? AND product_id = ?`, g.id, product); err != nil {
		return err
	}
	for k, s := range now {
		values := []any{g.id, k.product, k.instrument, k.syringe, s.state, s.advice.Tests, s.advice.Members,
			s.advice.Near}
		if err := q.do(ctx, `
			INSERT INTO verdicts (community_id, product_id, instrument_id, syringe_id, state, tests, members, near,
			                      ceiling_s, target_share, least_tests, least_members)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, append(values, ruleValues(s.rule)...)...); err != nil {
			return err
		}
	}
	return nil
}

// sayAnew stores what the estimate says by the rule in force, unless the log has changed.
// Nothing of it is recorded as a change, because the tests are the same.
func (g *Group) sayAnew(ctx context.Context, product int64, file *productFile) error {
	return g.store.inTx(ctx, func(q querier) error {
		v, err := g.versions(ctx, q, product)
		if err != nil || file.versions() != v {
			return err
		}
		rule, err := g.holdRule(ctx, q)
		if err != nil {
			return err
		}
		now, err := file.sayAll(rule)
		if err != nil {
			return err
		}
		return g.replaceVerdicts(ctx, q, product, now)
	})
}

// advise returns what may be said of a combination. own is nil if it has no tests.
func (r *reading) advise(own *testedFile, others bool, rule calc.HoldRule) calc.Advice {
	record := calc.SetupRecord{Looked: true, OthersTested: others}
	if own != nil {
		record.Looked, record.Tests = own.looked, make([]calc.RecordedTest, 0, own.tests)
		for t := range own.list.All() {
			record.Tests = append(record.Tests, calc.RecordedTest{Trial: t.Trial, Slip: t.Slip})
		}
	}
	return r.forecast.Advise(rule, record)
}

// othersTested reports whether the gel was tested in another set-up, too.
func (f *productFile) othersTested(own *testedFile) bool {
	return slices.ContainsFunc(f.tested, func(t *testedFile) bool { return own == nil || t.setup != own.setup })
}
