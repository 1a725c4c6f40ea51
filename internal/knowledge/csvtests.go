package knowledge

import (
	"context"
	"io"
	"maps"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func testColumns() []column {
	return []column{{name: "tested_on"}, {name: "member"}, {name: "product"}, {name: "instrument"}, {"syringe", true},
		{name: "liquid"}, {name: "liquid_c"}, {"pull_ml", true}, {name: "limit_s"}, {name: "outcome"}, {name: "seconds"},
		{name: "timing"}, {"note", true}, {"film_marks", true}, {"film_link", true}}
}

// filmColumns are the last of testColumns. A file has them where one of its tests
// has a film, so that a log without films is written as it always was.
const filmColumns = 2

// ExportTests writes the kept tests by the day tested, then in the order logged,
// the seconds as they were typed. Withdrawn tests are in ExportHistory.
func (g *Group) ExportTests(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export tests")
	return g.exportTests(ctx, w, TestFilter{State: Kept})
}

// ExportTestsOf writes the kept tests of one member, as ExportTests does.
// ErrNotFound for somebody who is not a member.
func (g *Group) ExportTestsOf(ctx context.Context, w io.Writer, m Member) (err error) {
	defer wrap(&err, "export tests of a member")
	if m, err = g.resolveMember(ctx, g.store.look(), m); err != nil {
		return err
	}
	return g.exportTests(ctx, w, TestFilter{State: Kept, TesterID: m.ID})
}

func (g *Group) exportTests(ctx context.Context, w io.Writer, f TestFilter) error {
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	tests, err := g.Tests(ctx, f)
	if err != nil {
		return err
	}
	names, columns := newMemberNames(members), testColumns()
	if !slices.ContainsFunc(tests, func(t BenchTest) bool { return t.Film != (Film{}) }) {
		columns = columns[:len(columns)-filmColumns]
	}
	sheet := newSheetWriter(w, columns)
	for _, t := range tests {
		sheet.row(testCells(t, names)[:len(columns)]...)
	}
	return sheet.close()
}

func testCells(t BenchTest, names *memberNames) []string {
	c := t.Combination
	return []string{t.TestedOn, names.write(t.Tester), c.Product.Name, c.Instrument.Name(), c.Syringe.Name,
		t.Liquid, trade.Number(t.LiquidC), trade.Number(t.PullML), trade.Number(t.WatchedS), string(t.Outcome), t.SecondsTyped,
		t.Timing, t.Note, t.Film.Marks, t.Film.Link}
}

// ImportTests adds the tests of a file. Members and products must be there
// already. A pull that is not recorded is taken as calc.DefaultPull.
//
// Two lines with the same content are two tests. Only as many of them are added
// as the file has more of than the store, withdrawn ones counted, so that
// importing a file again adds nothing. A film is no part of the content: a test
// that is there without one gets the film of the line. Estimates are computed
// once per product, at the end.
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportTests(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import tests")
	touched := make(map[int64]bool)
	report, err = g.importSheet(ctx, r, testColumns(), skipBad, func(ctx context.Context, q querier) (func(sheetRow) (become, error), error) {
		members, err := g.members(ctx, q)
		if err != nil {
			return nil, err
		}
		stored, err := g.contents(ctx, q)
		if err != nil {
			return nil, err
		}
		in := testImport{g: g, q: q, names: newMemberNames(members), stored: stored, touched: touched}
		return func(row sheetRow) (become, error) { return in.row(ctx, row) }, nil
	})
	if err != nil || report.Added == 0 {
		return report, err
	}
	for _, product := range slices.Sorted(maps.Keys(touched)) {
		if _, err := g.productFile(ctx, product, wait); err != nil {
			break // stored they are; the next question computes what is missing
		}
	}
	return report, nil
}

// testImport is a file of tests on its way into the store.
type testImport struct {
	g       *Group
	q       querier
	names   *memberNames
	stored  map[content]storedTests // what the store has that the file had not yet
	touched map[int64]bool          // products with new tests
}

func (in *testImport) row(ctx context.Context, row sheetRow) (become, error) {
	v, err := in.g.vocabulary(ctx, in.q)
	if err != nil {
		return 0, err
	}
	t, err := readTest(row, in.names, v)
	if err != nil {
		return 0, err
	}
	if t, err = in.g.checkTest(ctx, in.q, t.filled()); err != nil {
		return 0, err
	}
	if there := in.stored[t.content()]; len(there) > 0 {
		i := there.match(t.Film)
		was := there[i]
		in.stored[t.content()] = slices.Delete(there, i, i+1)
		return in.film(ctx, was, t.Film)
	}
	if t, err = in.g.insertTest(ctx, in.q, t, fromFile); err != nil {
		return 0, err
	}
	in.touched[t.Combination.Product.ID] = true
	return added, in.g.tally(ctx, in.q, t, +1)
}

// film puts the film of a line to the stored test that the line is about, where
// that has none.
func (in *testImport) film(ctx context.Context, was storedTest, film Film) (become, error) {
	if film == (Film{}) || was.film != (Film{}) {
		return already, nil
	}
	_, err := in.q.Exec(ctx, `UPDATE tests SET film_marks = ?, film_link = ? WHERE community_id = ? AND id = ?`,
		film.Marks, film.Link, in.g.id, was.id)
	return changed, err
}

// readTest reads the cells of a line.
func readTest(row sheetRow, names *memberNames, v *Vocabulary) (t BenchTest, err error) {
	if t.Tester, err = readMember(row, names); err != nil {
		return t, err
	}
	if t.Combination, err = readCombination(row, v); err != nil {
		return t, err
	}
	if row.get("instrument") == "" {
		return t, trade.Refuse("instrument", "is missing")
	}
	return readTrial(t, row)
}

// readTrial reads what is not about who and what.
func readTrial(t BenchTest, row sheetRow) (_ BenchTest, err error) {
	t.TestedOn, t.Liquid, t.Note = row.get("tested_on"), row.get("liquid"), row.get("note")
	t.Film = Film{Marks: row.get("film_marks"), Link: row.get("film_link")}
	t.Outcome, t.SecondsTyped = Outcome(row.get("outcome")), row.get("seconds")
	if t.LiquidC, err = trade.ReadNumber("liquid_c", row.get("liquid_c")); err != nil {
		return t, err
	}
	if t.PullML = calc.DefaultPull.Millilitres(); row.get("pull_ml") != "" {
		if t.PullML, err = trade.ReadNumber("pull_ml", row.get("pull_ml")); err != nil {
			return t, err
		}
	}
	if t.WatchedS, err = trade.ReadNumber("limit_s", row.get("limit_s")); err != nil {
		return t, err
	}
	if t.Outcome == Flashback {
		if t.SecondsTyped == "" {
			return t, trade.Refuse("seconds", "is missing; when did flashback come?")
		}
		if t.Seconds, err = ReadSeconds(t.SecondsTyped); err != nil {
			return t, err
		}
	}
	if t.Timing, _, err = ReadTiming(row.get("timing")); err != nil {
		return t, err
	}
	t = t.filled()
	return t, t.Validate()
}
