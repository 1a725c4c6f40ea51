package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
	"time"
)

// How a test came into the log.
const (
	byHand   = "logged"
	fromFile = "imported"
)

// timeStep is the resolution of stored times.
const timeStep = time.Microsecond

// LogTest stores a bench test and returns it as stored. It closes an open claim on the
// combination, and adds an instrument or syringe that is not on the list yet. If a test with
// the same request key is stored already, LogTest returns that one and stores nothing.
//
// The estimate of the product is made anew. LogTest waits for it no longer than the store's
// patience; until it is there Evidence says that it is behind, and EstimateMade waits for it.
// Once the test is stored LogTest succeeds: if the estimate fails, the next question has it
// made.
//
// Errors: *FieldError; ErrNotFound for a product or tester that is not there.
func (g *Group) LogTest(ctx context.Context, t BenchTest) (logged BenchTest, err error) {
	all, err := g.LogTests(ctx, []BenchTest{t})
	if err != nil {
		return BenchTest{}, err
	}
	return all[0], nil
}

// LogTests stores tests as LogTest does: all of them, or none.
//
// Errors: as LogTest.
func (g *Group) LogTests(ctx context.Context, tests []BenchTest) (logged []BenchTest, err error) {
	defer wrap(&err, "log test")
	logged = make([]BenchTest, len(tests))
	err = g.store.inTx(ctx, func(q querier) error {
		for i, t := range tests {
			if logged[i], err = g.logTest(ctx, q, t); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i, t := range logged {
		logged[i] = g.estimated(ctx, t)
	}
	return logged, nil
}

// EstimateMade waits until the estimate of a product is up to date. Whoever has answered by
// the previous one can then answer again.
func (g *Group) EstimateMade(ctx context.Context, product int64) (err error) {
	defer wrap(&err, "estimate of product %d", product)
	_, err = g.productFile(ctx, product, wait)
	return err
}

// estimated has the estimate of a stored test's product made anew. It returns the test with
// its probability of a slip, if the estimate is there within the store's patience.
func (g *Group) estimated(ctx context.Context, t BenchTest) BenchTest {
	file, err := g.productFile(ctx, t.Combination.Product.ID, leaveIt)
	if err != nil || file == nil {
		return t
	}
	if one := file.of(keyOf(t.Combination)); one != nil {
		for kept := range one.list.All() {
			if kept.ID == t.ID {
				t.Slip = kept.Slip
			}
		}
	}
	return t
}

func (g *Group) logTest(ctx context.Context, q querier, t BenchTest) (BenchTest, error) {
	t = t.filled()
	if t.RequestKey != "" {
		first, err := g.testByKey(ctx, q, t.RequestKey)
		if !errors.Is(err, sql.ErrNoRows) {
			return first, err
		}
	}
	t, err := g.checkTest(ctx, q, t)
	if err != nil {
		return BenchTest{}, err
	}
	if err := g.checkClass(ctx, q, t); err != nil {
		return BenchTest{}, err
	}
	if t.Corrects != 0 {
		if _, err := g.test(ctx, q, t.Corrects); err != nil {
			return BenchTest{}, err
		}
	}
	if t, err = g.insertTest(ctx, q, t); err != nil {
		return BenchTest{}, err
	}
	version, err := g.tally(ctx, q, t, +1)
	if err != nil {
		return t, err
	}
	if err := q.noteAdded(g.id, t, version); err != nil {
		return t, err
	}
	if t.Corrects != 0 {
		return t, nil // followCorrection decides about the claim
	}
	return t, g.closeClaim(ctx, q, t)
}

// checkTest checks a test by the rules and the community's lists, and returns it with tester
// and combination as stored.
func (g *Group) checkTest(ctx context.Context, q querier, t BenchTest) (BenchTest, error) {
	t.LoggedAt = g.store.now().UTC().Truncate(timeStep)
	if err := t.Validate(); err != nil {
		return BenchTest{}, err
	}
	today, err := g.today(ctx, q)
	if err != nil {
		return BenchTest{}, err
	}
	if err := t.notAfter(today); err != nil {
		return BenchTest{}, err
	}
	if t.Tester, err = g.resolveMember(ctx, q, t.Tester); err != nil {
		return BenchTest{}, err
	}
	t.Combination, err = g.placeOrAdd(ctx, q, t.Combination)
	return t, err
}

// testRow is the row id of a test by its community and its number there, NULL if there is none.
const testRow = `(SELECT id FROM tests WHERE community_id = ? AND number = ?)`

// insertTest stores a checked test with the community's next number.
func (g *Group) insertTest(ctx context.Context, q querier, t BenchTest) (BenchTest, error) {
	k := keyOf(t.Combination)
	seconds := sql.NullFloat64{Float64: t.Seconds, Valid: t.Outcome == Flashback}
	key := sql.NullString{String: t.RequestKey, Valid: t.RequestKey != ""}
	err := q.Row(ctx, `
		INSERT INTO tests (number, community_id, product_id, instrument_id, syringe_id, tester_id,
		                   tested_on, liquid, liquid_c, pull_ml, watched_s, outcome, seconds,
		                   seconds_typed, timing, note, state, entered, logged_at, request_key,
		                   film_marks, film_link, lot, expires, class_id, corrects_id)
		VALUES (`+lastNumber+` + 1,
		        ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'kept', ?, ?, ?, ?, ?, ?, ?, ?, `+testRow+`)
		RETURNING number`,
		g.id, g.id, g.id, k.product, k.instrument, k.syringe, t.Tester.ID,
		t.TestedOn, t.Liquid, t.LiquidC, t.PullML, t.WatchedS, t.Outcome, seconds,
		t.SecondsTyped, t.Timing, t.Note, byHand, formatTime(t.LoggedAt), key,
		t.Film.Marks, t.Film.Link, t.Lot.Number, t.Lot.Expires, nullID(t.Class), g.id, t.Corrects,
	).Scan(&t.ID)
	t.State, t.Slip = Kept, 0
	return t, err
}

// tally updates the counts for a test that begins (+1) or ceases (−1) to count, and returns
// the new version of the product's log.
func (g *Group) tally(ctx context.Context, q querier, t BenchTest, by int) (version int64, err error) {
	k := keyOf(t.Combination)
	if err := q.Row(ctx, `
		UPDATE products SET log_version = log_version + 1, kept_tests = kept_tests + ?
		WHERE community_id = ? AND id = ?
		RETURNING log_version`, by, g.id, k.product).Scan(&version); err != nil {
		return 0, err
	}
	changed, err := q.Exec(ctx, `
		UPDATE tested_combinations SET kept_tests = kept_tests + ?
		WHERE community_id = ? AND product_id = ? AND instrument_id = ? AND syringe_id = ?`,
		by, g.id, k.product, k.instrument, k.syringe)
	if err != nil || changed > 0 {
		return version, err
	}
	err = q.do(ctx, `
		INSERT INTO tested_combinations (community_id, product_id, instrument_id, syringe_id, gel_class, kept_tests)
		VALUES (?, ?, ?, ?, ?, ?)`,
		g.id, k.product, k.instrument, k.syringe, t.Combination.Product.Class, by)
	return version, err
}

// TestFilter selects tests; a field that is 0 or empty selects all.
type TestFilter struct {
	ProductID, InstrumentID, SyringeID, TesterID int64
	IDs                                          []int64
	From, To                                     string // days, 2006-01-02, both included
	State                                        State
	Entered                                      Action    // Logged or Imported
	LoggedSince                                  time.Time // that moment included
	Limit                                        int       // only the latest so many
}

// Tests returns the tests that the filter selects, by the day tested and then in the order
// logged, withdrawn ones too unless the filter names a state.
func (g *Group) Tests(ctx context.Context, f TestFilter) (tests []BenchTest, err error) {
	defer wrap(&err, "tests")
	condition, args := f.condition(g.id)
	err = g.store.snapshot(ctx, func(q querier) error {
		tests, err = g.readTests(ctx, q, condition, args...)
		return err
	})
	slices.Reverse(tests) // the query has the latest first, because of the limit
	return tests, err
}

// condition names only the fields that are set, so that the engine can use an index.
func (f TestFilter) condition(community int64) (condition string, args []any) {
	condition, args = `t.community_id = ?`, []any{community}
	narrow := func(narrows bool, by string, value any) {
		if narrows {
			condition += ` AND ` + by
			args = append(args, value)
		}
	}
	narrow(f.ProductID != 0, `t.product_id = ?`, f.ProductID)
	narrow(f.InstrumentID != 0, `t.instrument_id = ?`, f.InstrumentID)
	narrow(f.SyringeID != 0, `t.syringe_id = ?`, f.SyringeID)
	narrow(f.TesterID != 0, `t.tester_id = ?`, f.TesterID)
	narrow(f.From != "", `t.tested_on >= ?`, f.From)
	narrow(f.To != "", `t.tested_on <= ?`, f.To)
	narrow(f.State != "", `t.state = ?`, f.State)
	narrow(f.Entered != "", `t.entered = ?`, f.Entered)
	narrow(!f.LoggedSince.IsZero(), `t.logged_at >= ?`, formatTime(f.LoggedSince))
	if len(f.IDs) > 0 {
		condition += ` AND t.number IN (?` + strings.Repeat(`, ?`, len(f.IDs)-1) + `)`
		for _, id := range f.IDs {
			args = append(args, id)
		}
	}
	condition += ` ORDER BY t.tested_on DESC, t.id DESC`
	if f.Limit > 0 {
		condition += ` LIMIT ?`
		args = append(args, f.Limit)
	}
	return condition, args
}

// Test returns one test, withdrawn or not. ErrNotFound if there is none by that
// number.
func (g *Group) Test(ctx context.Context, id int64) (t BenchTest, err error) {
	defer wrap(&err, "test %d", id)
	return resultOf(ctx, g.store.snapshot, func(q querier) (BenchTest, error) {
		return g.test(ctx, q, id)
	})
}

func (g *Group) test(ctx context.Context, q querier, number int64) (BenchTest, error) {
	return only(g.readTests(ctx, q, `t.community_id = ? AND t.number = ?`, g.id, number))
}

func (g *Group) testByKey(ctx context.Context, q querier, key string) (BenchTest, error) {
	return only(g.readTests(ctx, q, `t.community_id = ? AND t.request_key = ?`, g.id, key))
}

// only returns the one that was found, sql.ErrNoRows if there is none.
func only[T any](found []T, err error) (one T, _ error) {
	if err == nil && len(found) == 0 {
		err = sql.ErrNoRows
	}
	if err != nil {
		return one, err
	}
	return found[0], nil
}

// readTests returns the tests that a condition selects, which must begin with the community.
func (g *Group) readTests(ctx context.Context, q querier, condition string, args ...any) ([]BenchTest, error) {
	return collectNamed(ctx, g, q, func(v *Vocabulary, rows *sql.Rows, t *BenchTest) (err error) {
		var k combinationKey
		var seconds, slip sql.NullFloat64
		var key sql.NullString
		var corrects, class sql.NullInt64
		m := &t.Tester
		if err := rows.Scan(&t.ID, &k.product, &k.instrument, &k.syringe, &m.ID, &m.Ref, &m.Name, &m.Role,
			&t.TestedOn, &t.Liquid, &t.LiquidC, &t.PullML, &t.WatchedS, &t.Outcome, &seconds, &t.SecondsTyped,
			&t.Timing, &t.Note, &t.State, timeColumn{&t.LoggedAt}, &key, &corrects, &slip,
			&t.Film.Marks, &t.Film.Link, &t.Lot.Number, &t.Lot.Expires, &class); err != nil {
			return err
		}
		t.Seconds, t.Slip, t.RequestKey, t.Corrects = seconds.Float64, slip.Float64, key.String, corrects.Int64
		t.Class = class.Int64
		t.Combination, err = v.combination(k)
		return err
	}, `
		SELECT t.number, t.product_id, t.instrument_id, t.syringe_id, m.id, m.ref, m.name, m.role,
		       t.tested_on, t.liquid, t.liquid_c, t.pull_ml, t.watched_s, t.outcome, t.seconds, t.seconds_typed,
		       t.timing, t.note, t.state, t.logged_at, t.request_key, o.number, s.slip,
		       t.film_marks, t.film_link, t.lot, t.expires, t.class_id
		FROM tests t
		JOIN members m ON m.community_id = t.community_id AND m.id = t.tester_id
		LEFT JOIN slips s ON s.test_id = t.id
		LEFT JOIN tests o ON o.community_id = t.community_id AND o.id = t.corrects_id
		WHERE `+condition, args...)
}
