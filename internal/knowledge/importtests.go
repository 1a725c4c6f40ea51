package knowledge

import (
	"context"
	"database/sql"
	"maps"
	"slices"
	"strings"
	"time"

	"holdbench/internal/trade"
)

func (g *Group) importTests(ctx context.Context, open func() (Rows, error), how Importing) (report ImportReport,
	err error) {
	in := testImport{g: g, how: how, touched: make(map[int64]bool), memberRows: make(map[int64]int64)}
	if _, err := g.store.takeAwayLeft(ctx, g); err != nil {
		return report, err
	}
	report, err = importFile(ctx, g, open, how, in.prepare)
	if err != nil || report.Added == 0 || how.Dry || how.Unestimated {
		return report, err
	}
	for _, product := range slices.Sorted(maps.Keys(in.touched)) {
		if _, err := g.productFile(ctx, product, wait); err != nil {
			break // the tests are stored; the next question computes what is missing
		}
	}
	return report, nil
}

// testsAtOnce tests take a third of a second to store, and a fast machine less.
const testsAtOnce = 10_000

// testImport is a file of tests on its way into the store.
type testImport struct {
	g          *Group
	how        Importing
	file       int64  // its row in imports, 0 until the first part is stored
	by         Member // who brings the file in, the zero Member for whoever runs the program
	names      fileNames
	memberRows map[int64]int64         // rows of members who are new with the file, by their numbers below 0
	stored     map[content]storedTests // tests in the store that no line of the file has claimed yet
	latest     int64                   // row of the latest test in stored
	now        time.Time
	today      string
	touched    map[int64]bool // products with new tests
}

// plannedTest is a test to be stored, or only film and lot for one that is there.
type plannedTest struct {
	BenchTest
	there int64 // row of the test that gets them; 0 for a new test
}

func (in *testImport) prepare(ctx context.Context, q querier) (way fileImport[BenchTest, plannedTest], err error) {
	if err := in.g.noneComing(ctx, q); err != nil {
		return way, err
	}
	if in.names, err = in.g.fileNames(ctx, q); err != nil {
		return way, err
	}
	if in.by, err = in.g.broughtBy(ctx, q, in.how); err != nil {
		return way, err
	}
	if err := in.addNew(ctx, q); err != nil {
		return way, err
	}
	in.now = in.g.store.now().UTC().Truncate(timeStep)
	if in.today, err = in.g.today(ctx, q); err != nil {
		return way, err
	}
	in.stored, in.latest, err = in.g.contents(ctx, q, 0)
	return fileImport[BenchTest, plannedTest]{table: testTable(in.names), plan: in.plan, store: in.store,
		atOnce: in.g.store.atOnce, held: in.g.store.atOnce,
		parts: parts[plannedTest]{late: (*plannedTest).late, part: in.part, failed: in.failed}}, err
}

// late: film and lot of a test that is there are stored with the last part, when the file is whole.
func (t *plannedTest) late() bool { return t.there != 0 }

func (in *testImport) plan(t BenchTest) (*plannedTest, become, error) {
	t, err := in.checked(t)
	if err != nil {
		return nil, 0, err
	}
	was, there := claim(in.stored, t)
	if !there {
		return &plannedTest{BenchTest: t}, added, nil
	}
	if was.film != (Film{}) {
		t.Film = was.film
	}
	if was.lot != (trade.Lot{}) {
		t.Lot = was.lot
	}
	if t.Film == was.film && t.Lot == was.lot {
		return nil, already, nil
	}
	return &plannedTest{BenchTest: t, there: was.id}, changed, nil
}

// checked is a test as it is to be stored. Its cells were searched for patient data before.
func (in *testImport) checked(t BenchTest) (BenchTest, error) {
	if t.Combination.Instrument == (trade.Instrument{}) {
		return t, trade.Refuse("instrument", "is missing")
	}
	t = t.filled()
	t.LoggedAt = in.now
	if err := t.validatePlain(); err != nil {
		return t, err
	}
	return t, t.notAfter(in.today)
}

// claim takes out the stored test that t is, if there is one.
func claim(stored map[content]storedTests, t BenchTest) (was storedTest, there bool) {
	c := t.content()
	all := stored[c]
	if len(all) == 0 {
		return was, false
	}
	i := all.match(t.Film, t.Lot)
	was = all[i]
	stored[c] = slices.Delete(all, i, i+1)
	return was, true
}

// store stores tests whose names were looked up before. It looks again for tests that were
// logged since then, so that none is stored twice.
func (in *testImport) store(ctx context.Context, q querier, tests []*plannedTest) (all []become, err error) {
	if err := in.storeNew(ctx, q, tests); err != nil {
		return nil, err
	}
	if err := in.placeAgain(ctx, q, tests); err != nil {
		return nil, err
	}
	since, _, err := in.g.contents(ctx, q, in.latest)
	if err != nil {
		return nil, err
	}
	var fresh []BenchTest
	counts := make(map[combinationKey]int)
	for _, t := range tests {
		if t.there != 0 {
			all = append(all, changed)
			_, err := q.Exec(ctx, `
				UPDATE tests SET film_marks = ?, film_link = ?, lot = ?, expires = ?
				WHERE community_id = ? AND id = ?`,
				t.Film.Marks, t.Film.Link, t.Lot.Number, t.Lot.Expires, in.g.id, t.there)
			if err != nil {
				return nil, err
			}
			continue
		}
		if _, there := claim(since, t.BenchTest); there {
			all = append(all, already)
			continue
		}
		all = append(all, added)
		fresh = append(fresh, t.BenchTest)
		counts[keyOf(t.Combination)]++
	}
	if err := in.g.insertTests(ctx, q, fresh, in.by.ID, in.file); err != nil {
		return nil, err
	}
	return all, in.count(ctx, q, fresh, counts)
}

// count keeps the counts in step, once a combination.
func (in *testImport) count(ctx context.Context, q querier, fresh []BenchTest, counts map[combinationKey]int) error {
	for _, t := range fresh {
		k := keyOf(t.Combination)
		if n := counts[k]; n > 0 {
			if _, err := in.g.tally(ctx, q, t, n); err != nil {
				return err
			}
			counts[k], in.touched[k.product] = 0, true
		}
	}
	return q.Row(ctx, `SELECT COALESCE(MAX(id), 0) FROM tests`).Scan(&in.latest)
}

// placeAgain adds new instruments and syringes to the lists, and makes sure that the
// products are still there.
func (in *testImport) placeAgain(ctx context.Context, q querier, tests []*plannedTest) error {
	placed := make(map[string]trade.Combination)
	for _, t := range tests {
		c := &t.Combination
		key := c.Product.Name + "\x00" + c.Instrument.Name() + "\x00" + c.Syringe.Name
		known, ok := placed[key]
		if !ok {
			var err error
			if known, err = in.g.placeOrAdd(ctx, q, *c); err != nil {
				return err
			}
			placed[key] = known
		}
		*c = known
	}
	return nil
}

// testsAStatement are inserted by one statement.
const testsAStatement = 200

// insertTests stores checked tests under the community's next numbers. by is the row of the
// member who brings them in, 0 for whoever runs the program; file is the row of an import
// that comes in parts, 0 for another.
func (g *Group) insertTests(ctx context.Context, q querier, tests []BenchTest, by, file int64) error {
	var number int64
	if err := q.Row(ctx, `SELECT `+lastNumber, g.id, g.id).Scan(&number); err != nil {
		return err
	}
	const row = `(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`
	for some := range slices.Chunk(tests, testsAStatement) {
		args := make([]any, 0, 25*len(some))
		for _, t := range some {
			number++
			k := keyOf(t.Combination)
			args = append(args, number, g.id, k.product, k.instrument, k.syringe, t.Tester.ID,
				t.TestedOn, t.Liquid, t.LiquidC, t.PullML, t.WatchedS, t.Outcome,
				sql.NullFloat64{Float64: t.Seconds, Valid: t.Outcome == Flashback},
				t.SecondsTyped, t.Timing, t.Note, Kept, fromFile, formatTime(t.LoggedAt), t.Film.Marks, t.Film.Link,
				t.Lot.Number, t.Lot.Expires, nullID(by), nullID(file))
		}
		if _, err := q.Exec(ctx, `
			INSERT INTO tests (number, community_id, product_id, instrument_id, syringe_id, tester_id,
			                   tested_on, liquid, liquid_c, pull_ml, watched_s, outcome, seconds,
			                   seconds_typed, timing, note, state, entered, logged_at, film_marks, film_link, lot,
			                   expires, entered_by, import_id)
			VALUES `+strings.Repeat(row+", ", len(some)-1)+row, args...); err != nil {
			return err
		}
	}
	return nil
}
