package knowledge

import (
	"context"
	"database/sql"
	"errors"

	"holdbench/internal/calc"
	"holdbench/internal/database"
)

// SpreadOutcome is what came of learning the group's spread.
type SpreadOutcome struct {
	Looked  bool        // false: it was not due, or another program does it
	Changed bool        // another spread is in force than before
	InForce GroupSpread // afterwards

	TooFew *calc.FewRepeatsError // why no spread could be learned; nil if one was, or if Looked is false
}

// LearnSpreads learns the group's own spread from its tests and puts it in force, if that is
// due: there are enough repeats for the first time, or their number has changed by a tenth,
// or the log has changed and four weeks have passed; at most once a day. If too few repeats
// are left, it goes back to the defaults.
//
// A long log takes seconds to a minute of one processor, so call it in the background.
// Questions are answered meanwhile with the spread in force. Of several programs on one
// store, one learns. At the end every estimate is made anew. If ctx ends early, nothing has
// changed.
func (g *Group) LearnSpreads(ctx context.Context) (o SpreadOutcome, err error) {
	defer wrap(&err, "learn the spread of %q", g.ref)
	return g.learnSpreads(ctx, false)
}

// LearnSpreadsNow is LearnSpreads, due or not.
func (g *Group) LearnSpreadsNow(ctx context.Context) (o SpreadOutcome, err error) {
	defer wrap(&err, "learn the spread of %q now", g.ref)
	return g.learnSpreads(ctx, true)
}

func (g *Group) learnSpreads(ctx context.Context, asked bool) (o SpreadOutcome, err error) {
	turn, mine, err := g.takeSpreadTurn(ctx, asked)
	if err == nil && mine {
		o, err = g.learnInTurn(ctx, turn)
	}
	if err != nil {
		return SpreadOutcome{}, err
	}
	o.InForce, err = g.inForce(ctx, g.store.look())
	return o, err
}

// learnInTurn learns in a turn that the caller has taken, and ends it or gives it back.
func (g *Group) learnInTurn(ctx context.Context, turn string) (o SpreadOutcome, err error) {
	logs, log, err := g.productLogs(ctx)
	if err != nil {
		return o, errors.Join(err, g.giveTurnBack(ctx, turn))
	}
	learned, err := learnSpread(ctx, logs)
	if ctx.Err() != nil {
		return o, errors.Join(err, g.giveTurnBack(ctx, turn))
	}
	o.Looked = true
	next := GroupSpread{Own: true, Learned: learned, MadeAt: g.store.now(), LogVersion: log}
	if errors.As(err, &o.TooFew) {
		next, err = backToDefaults(next, *o.TooFew), nil
	}
	if err != nil { // the turn counts all the same: the same log would fail again
		return o, errors.Join(err, g.endTurn(ctx, turn, nil, &o))
	}
	if err := g.endTurn(ctx, turn, &next, &o); err != nil || !o.Looked {
		return o, err
	}
	return o, g.bringUpToDate(ctx, wait)
}

// backToDefaults returns the default spread for a log with too few repeats.
func backToDefaults(s GroupSpread, few calc.FewRepeatsError) GroupSpread {
	d := calc.DefaultSpread()
	s.Own, s.Learned = false, calc.LearnedSpread{Spread: d, Repeats: few.Repeats,
		RepeatedCombinations: few.Combinations}
	for stat, value := range map[*calc.Statistic]float64{
		&s.Learned.Combination: d.Combination, &s.Learned.Tester: d.Tester, &s.Learned.Rest: d.Rest,
	} {
		stat.Value, stat.Low, stat.High = value, value, value
	}
	return s
}

// learnSpread is calc.LearnSpread until ctx ends. The computation then runs to its end, and
// its result is dropped.
func learnSpread(ctx context.Context, logs []calc.ProductLog) (calc.LearnedSpread, error) {
	type result struct {
		learned calc.LearnedSpread
		err     error
	}
	done := make(chan result, 1)
	go func() {
		var r result
		r.err = guarded(func() (err error) {
			r.learned, err = calc.LearnSpread(logs)
			return err
		})
		done <- r
	}()
	select {
	case r := <-done:
		return r.learned, r.err
	case <-ctx.Done():
		return calc.LearnedSpread{}, ctx.Err()
	}
}

// loggedTest is what learning needs of a test.
type loggedTest struct {
	k      combinationKey
	tester int64
	test   BenchTest // outcome, time and pull
}

// productLogs reads all kept tests as calc.LearnSpread takes them, and the version of the
// log. Tests with an instrument whose bore is no longer known are left out: the model has no
// set-up for them.
func (g *Group) productLogs(ctx context.Context) (logs []calc.ProductLog, log int64, err error) {
	var tests []loggedTest
	var v *Vocabulary
	err = g.store.snapshot(ctx, func(q querier) error {
		if v, err = g.vocabulary(ctx, q); err != nil {
			return err
		}
		if log, err = g.logVersion(ctx, q); err != nil {
			return err
		}
		tests, err = g.loggedTests(ctx, q)
		return err
	})
	if err != nil {
		return nil, 0, err
	}
	for rest := tests; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].k.product == rest[0].k.product {
			n++
		}
		one, err := productLog(v, rest[:n])
		if err != nil {
			return nil, 0, err
		}
		logs, rest = append(logs, one), rest[n:]
	}
	return logs, log, nil
}

// productLog makes the log of one product from its tests.
func productLog(v *Vocabulary, tests []loggedTest) (log calc.ProductLog, err error) {
	at := make(map[calc.Setup]int) // setup → index in log.Tested
	for _, t := range tests {
		c, err := v.combination(t.k)
		if err != nil {
			return log, err
		}
		log.Class = c.Product.Class
		setup, _, err := c.Setup()
		if err != nil {
			continue
		}
		trial, err := t.test.Trial()
		if err != nil {
			return log, err
		}
		n, seen := at[setup]
		if !seen {
			n = len(log.Tested)
			at[setup] = n
			log.Tested = append(log.Tested, calc.TestedSetup{Setup: setup})
		}
		trial.Hand = t.tester
		log.Tested[n].Trials = append(log.Tested[n].Trials, trial)
	}
	return log, nil
}

func (g *Group) loggedTests(ctx context.Context, q querier) ([]loggedTest, error) {
	return database.Collect(ctx, q, func(rows *sql.Rows, t *loggedTest) error {
		b := &t.test
		return rows.Scan(&t.k.product, &t.k.instrument, &t.k.syringe, &t.tester,
			&b.PullML, &b.WatchedS, &b.Outcome, &b.Seconds, &b.Timing)
	}, `
		SELECT product_id, instrument_id, syringe_id, tester_id, pull_ml, watched_s, outcome, COALESCE(seconds, 0), timing
		FROM tests WHERE community_id = ? AND state = 'kept' ORDER BY product_id, id`, g.id)
}

// logVersion is the version of the whole log: it rises with every change that an estimate
// depends on.
func (g *Group) logVersion(ctx context.Context, q querier) (log int64, err error) {
	err = q.Row(ctx, `SELECT COALESCE(SUM(log_version), 0) FROM products WHERE community_id = ?`, g.id).Scan(&log)
	return log, err
}
