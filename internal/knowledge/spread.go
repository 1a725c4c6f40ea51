package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"holdbench/internal/calc"
)

// GroupSpread is how much the group's estimates assume that tests vary: the default spread,
// or one learned from the group's own tests.
type GroupSpread struct {
	Version int64 // 0 for the defaults at the start; rises by one with every change
	Own     bool  // learned from the group's own tests
	Spread  calc.Spread

	// These are set once something was learned. If Own is false again, because tests were withdrawn, they are of the log
	// as it was then.
	MadeAt     time.Time
	LogVersion int64              // the sum of the products' versions
	Learned    calc.LearnedSpread // its limits, repeats, testers, remarks
}

// defaultSpread is in force until a spread is learned.
func defaultSpread() GroupSpread { return GroupSpread{Spread: calc.DefaultSpread()} }

// spreadColumns are read by scanSpread.
const spreadColumns = `
	s.version, s.own, s.made_at, s.log_version,
	s.combination, s.combination_low, s.combination_high, s.tester, s.tester_low, s.tester_high,
	s.rest, s.rest_low, s.rest_high,
	s.tests, s.shown, s.products, s.testers, s.repeats, s.repeated_combinations, s.gain, s.remarks`

// inForce reads the spread that estimates are made with now.
func (g *Group) inForce(ctx context.Context, q querier) (GroupSpread, error) {
	var version int64
	if err := q.Row(ctx, `SELECT spread_version FROM communities WHERE id = ?`, g.id).Scan(&version); err != nil {
		return GroupSpread{}, err
	}
	return g.spreadAt(ctx, q, version)
}

// SpreadInForce returns the spread that estimates are made with now.
func (g *Group) SpreadInForce(ctx context.Context) (s GroupSpread, err error) {
	defer wrap(&err, "spread in force")
	return g.inForce(ctx, g.store.look())
}

// spreadAt reads one version of the spread.
func (g *Group) spreadAt(ctx context.Context, q querier, version int64) (GroupSpread, error) {
	if version == 0 {
		return defaultSpread(), nil
	}
	return scanSpread(q.Row(ctx, `
		SELECT `+spreadColumns+`
		FROM spreads s WHERE s.community_id = ? AND s.version = ?`, g.id, version))
}

func scanSpread(row *sql.Row) (s GroupSpread, err error) {
	l := &s.Learned
	c, t, r := &l.Combination, &l.Tester, &l.Rest
	var tests, shown int
	var remarks string
	err = row.Scan(&s.Version, &s.Own, timeColumn{&s.MadeAt}, &s.LogVersion,
		&c.Value, &c.Low, &c.High, &t.Value, &t.Low, &t.High, &r.Value, &r.Low, &r.High,
		&tests, &shown, &l.Products, &l.Testers, &l.Repeats, &l.RepeatedCombinations, &l.Gain, &remarks)
	if err != nil {
		return GroupSpread{}, err
	}
	for _, stat := range []*calc.Statistic{c, t, r} {
		stat.N, stat.Events = tests, shown
	}
	if remarks != "" {
		l.Warnings = strings.Split(remarks, "\n")
	}
	s.Spread = calc.Spread{Combination: c.Value, Tester: t.Value, Rest: r.Value}
	l.Spread = s.Spread
	return s, nil
}

// addSpread stores the next version of the spread and puts it in force.
func (g *Group) addSpread(ctx context.Context, q querier, s GroupSpread) (version int64, err error) {
	err = q.Row(ctx, `
		UPDATE communities SET spread_version = spread_version + 1
		WHERE id = ? RETURNING spread_version`, g.id).Scan(&version)
	if err != nil {
		return 0, err
	}
	l := s.Learned
	c, t, r := l.Combination, l.Tester, l.Rest
	err = q.do(ctx, `
		INSERT INTO spreads (community_id, version, own, model, made_at, log_version,
		                     combination, combination_low, combination_high, tester, tester_low, tester_high,
		                     rest, rest_low, rest_high,
		                     tests, shown, products, testers, repeats, repeated_combinations, gain, remarks)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		g.id, version, s.Own, estimateModel, formatTime(s.MadeAt), s.LogVersion,
		c.Value, c.Low, c.High, t.Value, t.Low, t.High, r.Value, r.Low, r.High,
		r.N, r.Events, l.Products, l.Testers, l.Repeats, l.RepeatedCombinations, l.Gain, strings.Join(l.Warnings, "\n"))
	return version, err
}

// SpreadReport is what the group knows of how much its own tests vary.
type SpreadReport struct {
	InForce GroupSpread // what estimates are made with

	// Repeats are a tester's tests beyond the first on a combination, in the present log, and RepeatedCombinations the
	// combinations with one. Learning takes calc.RepeatsNeeded in calc.RepeatedCombinationsNeeded.
	Repeats, RepeatedCombinations int

	// Measured is the repeatability and reproducibility of the times (ISO 5725-2), by tester within combination and
	// pull, with SpreadConfidence. Flagged tests are left out. nil while nobody has repeated a test.
	Measured *calc.RepeatSpread
	Slips    int // how many flagged tests were left out

	Testers []TesterStanding // every member, in the order admitted
}

// SpreadConfidence is the confidence of the limits of SpreadReport.Measured.
const SpreadConfidence = 0.95

// Enough reports whether the log has the repeats that learning takes.
func (r SpreadReport) Enough() bool {
	return r.Repeats >= calc.RepeatsNeeded && r.RepeatedCombinations >= calc.RepeatedCombinationsNeeded
}

// Spread returns how much the group's tests vary: what the estimates assume, what the times
// say by themselves, and how the testers compare. It first brings the estimates up to date.
func (g *Group) Spread(ctx context.Context) (r SpreadReport, err error) {
	defer wrap(&err, "spread")
	if err := g.bringUpToDate(ctx, goBy); err != nil {
		return SpreadReport{}, err
	}
	var members []Member
	var tests []BenchTest
	err = g.store.snapshot(ctx, func(q querier) error {
		if r.InForce, err = g.inForce(ctx, q); err != nil {
			return err
		}
		if r.Repeats, r.RepeatedCombinations, err = g.countRepeats(ctx, q); err != nil {
			return err
		}
		if members, err = g.members(ctx, q); err != nil {
			return err
		}
		tests, err = g.readTests(ctx, q, keptByPull, g.id)
		return err
	})
	if err != nil {
		return SpreadReport{}, err
	}
	all := len(tests)
	tests = withoutSlips(tests)
	r.Slips = all - len(tests)
	measured, err := calc.MeasureSpread(repeatsOf(tests, false), SpreadConfidence)
	switch {
	case err == nil:
		r.Measured = &measured
	case !errors.Is(err, calc.ErrTooFewRepeats):
		return SpreadReport{}, err
	}
	r.Testers, err = standings(members, tests)
	return r, err
}

// countRepeats counts a tester's kept tests beyond the first on a combination, and the
// combinations with one, as calc.LearnSpread does; but that takes combinations with the same
// set-up as one.
func (g *Group) countRepeats(ctx context.Context, q querier) (repeats, combinations int, err error) {
	err = q.Row(ctx, `
		SELECT COALESCE(SUM(c.repeats), 0), COUNT(*)
		FROM (
			SELECT SUM(h.tests - 1) AS repeats
			FROM (
				SELECT product_id, instrument_id, syringe_id, COUNT(*) AS tests
				FROM tests
				WHERE community_id = ? AND state = 'kept'
				GROUP BY product_id, instrument_id, syringe_id, tester_id
			) h
			GROUP BY h.product_id, h.instrument_id, h.syringe_id
			HAVING SUM(h.tests - 1) > 0
		) c`, g.id).Scan(&repeats, &combinations)
	return repeats, combinations, err
}
