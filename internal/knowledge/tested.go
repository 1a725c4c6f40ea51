package knowledge

import (
	"context"
	"database/sql"
	"slices"
	"sync"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// testedCombination is a combination with kept tests.
type testedCombination struct {
	combination trade.Combination
	setup       calc.Setup
	tests       int
}

// testedFile is a tested combination in its product's file, with its tests. Once complete it is never changed, and
// every file with just these tests of it shares it.
type testedFile struct {
	testedCombination
	list    TestList
	flagged TestList // tests that are likelier a slip than not
	looked  bool     // a trainer has looked at it since its last test
	curve   func() (*calc.Curve, error)
}

// of returns what the file has of a combination, nil if it has no kept tests.
func (f *productFile) of(k combinationKey) *testedFile {
	for _, t := range f.tested {
		if keyOf(t.combination) == k {
			return t
		}
	}
	return nil
}

// complete derives the count, the curve and the flags from the tests.
func (t *testedFile) complete() {
	t.tests = t.list.Len()
	t.curve = sync.OnceValues(func() (*calc.Curve, error) {
		watches := make([]calc.Watch, 0, t.tests)
		for test := range t.list.All() {
			if test.None {
				watches = append(watches, calc.Watch{For: calc.Seconds(test.WatchedS)})
			} else {
				watches = append(watches, calc.Watch{For: calc.Seconds(test.Seconds), Shown: true})
			}
		}
		return calc.KaplanMeier(watches)
	})
	t.flag()
}

// flag picks the tests that are likelier a slip than not.
func (t *testedFile) flag() {
	t.flagged = TestList{}
	for test := range t.list.All() {
		if test.Slip > flaggedAbove {
			t.flagged.all = append(t.flagged.all, test)
		}
	}
}

// withSlips returns the file with new slip probabilities, in the order of its tests; itself if none has changed.
func (t *testedFile) withSlips(slips []float64) *testedFile {
	own := t
	for i, slip := range slips[:len(t.list.all)] {
		if slip < slipKept {
			slip = 0
		}
		if slip == t.list.all[i].Slip {
			continue
		}
		if own == t {
			other := *t
			own, other.list.all = &other, slices.Clone(t.list.all)
		}
		own.list.all[i].Slip = slip
	}
	if own != t {
		own.flag()
	}
	return own
}

// readTested reads the kept tests of a product, by combination in the order first tested,
// and the members who made them.
func (g *Group) readTested(ctx context.Context, q querier, product int64) (tested []*testedFile,
	hands map[int64]string, err error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return nil, nil, err
	}
	if hands, err = g.hands(ctx, q, product); err != nil {
		return nil, nil, err
	}
	lookedUpTo, err := g.lookedUpTo(ctx, q, product)
	if err != nil {
		return nil, nil, err
	}
	rows, err := countedRows(ctx, q, g.id, product, hands)
	if err != nil {
		return nil, nil, err
	}
	at := make(map[combinationKey]*testedFile)
	for i := range rows {
		k := rows[i].combinationKey
		one := at[k]
		if one == nil {
			if one, err = v.testedFile(k); err != nil {
				return nil, nil, err
			}
			at[k], tested = one, append(tested, one)
		}
		one.looked = one.looked && rows[i].ID <= lookedUpTo[k]
		one.list.all = append(one.list.all, rows[i].CountedTest)
	}
	for _, one := range tested {
		one.list.all = slices.Clip(one.list.all)
		one.complete()
	}
	return tested, hands, nil
}

// testedFile returns a combination without tests.
func (v *Vocabulary) testedFile(k combinationKey) (one *testedFile, err error) {
	one = &testedFile{looked: true}
	if one.combination, err = v.combination(k); err == nil {
		one.setup, _, err = one.combination.Setup()
	}
	return one, err
}

// hands returns the platform's ids of the members who made the kept tests of a product.
func (g *Group) hands(ctx context.Context, q querier, product int64) (map[int64]string, error) {
	found, err := database.Collect(ctx, q, func(rows *sql.Rows, m *Member) error { return rows.Scan(&m.ID, &m.Ref) }, `
		SELECT id, ref FROM members
		WHERE community_id = ? AND id IN (
			SELECT tester_id FROM tests WHERE community_id = ? AND product_id = ? AND state = 'kept')`, g.id, g.id, product)
	refs := make(map[int64]string, len(found))
	for _, m := range found {
		refs[m.ID] = m.Ref
	}
	return refs, err
}

// countedRow is a kept test with its combination.
type countedRow struct {
	combinationKey
	CountedTest
}

// countedRows reads the kept tests of a product, by day and then in the order logged.
// Each day's text is kept in memory once.
func countedRows(ctx context.Context, q querier, community, product int64, hands map[int64]string) ([]countedRow,
	error) {
	texts := make(map[string]string)
	once := func(text string) string {
		if _, there := texts[text]; !there {
			texts[text] = text
		}
		return texts[text]
	}
	return database.Collect(ctx, q, func(rows *sql.Rows, r *countedRow) (err error) {
		var t BenchTest
		var seconds, slip sql.NullFloat64
		r.product = product
		if err := rows.Scan(&t.ID, &r.instrument, &r.syringe, &t.Tester.ID, &t.TestedOn, &t.PullML, &t.WatchedS,
			&t.Outcome, &seconds, &t.Timing, &slip); err != nil {
			return err
		}
		t.Tester.Ref, t.TestedOn = hands[t.Tester.ID], once(t.TestedOn)
		t.Seconds, t.Slip = seconds.Float64, slip.Float64
		r.CountedTest, err = t.counted()
		return err
	}, `
		SELECT t.number, t.instrument_id, t.syringe_id, t.tester_id, t.tested_on, t.pull_ml, t.watched_s,
		       t.outcome, t.seconds, t.timing, s.slip
		FROM tests t
		LEFT JOIN slips s ON s.test_id = t.id
		WHERE t.community_id = ? AND t.product_id = ? AND t.state = 'kept'
		ORDER BY t.tested_on, t.id`, community, product)
}
