package knowledge

import (
	"context"
	"io"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

func testColumns() []column {
	return []column{{name: "tested_on"}, {name: "member"}, {name: "product"}, {name: "instrument"}, {"syringe", true},
		{name: "liquid"}, {name: "liquid_c"}, {"pull_ml", true}, {name: "limit_s"}, {name: "outcome"},
		{name: "seconds"},
		{name: "timing"}, {"note", true}, {"film_marks", true}, {"film_link", true}, {"lot", true}, {"expires", true}}
}

// columnsOf are the columns of a file of these tests. Those of films and of lots are
// in it where one of the tests has any: other logs are written as they always were.
func columnsOf(tests []BenchTest) (columns []column) {
	film := slices.ContainsFunc(tests, func(t BenchTest) bool { return t.Film != (Film{}) })
	lot := slices.ContainsFunc(tests, func(t BenchTest) bool { return t.Lot != (trade.Lot{}) })
	return slices.DeleteFunc(testColumns(), func(c column) bool {
		return !film && strings.HasPrefix(c.name, "film_") || !lot && (c.name == "lot" || c.name == "expires")
	})
}

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
	names, columns, all := newMemberNames(members), columnsOf(tests), testColumns()
	sheet := newSheetWriter(w, columns)
	for _, t := range tests {
		var cells []string
		for i, cell := range testCells(t, names) {
			if slices.Contains(columns, all[i]) {
				cells = append(cells, cell)
			}
		}
		sheet.row(cells...)
	}
	return sheet.close()
}

func testCells(t BenchTest, names *memberNames) []string {
	c := t.Combination
	return []string{t.TestedOn, names.write(t.Tester), c.Product.Name, c.Instrument.Name(), c.Syringe.Name,
		t.Liquid, trade.Number(t.LiquidC), trade.Number(t.PullML), trade.Number(t.WatchedS), string(t.Outcome),
		t.SecondsTyped,
		t.Timing, t.Note, t.Film.Marks, t.Film.Link, t.Lot.Number, t.Lot.Expires}
}

// readTest reads the cells of a line and holds them against the rules. They were
// looked at for patient data already.
func (in *testImport) readTest(row sheetRow) (t BenchTest, err error) {
	if t.Tester, err = readMember(row, in.names); err != nil {
		return t, err
	}
	if t.Combination, err = in.readPlace(row); err != nil {
		return t, err
	}
	if t, err = readTrial(t, row); err != nil {
		return t, err
	}
	t.LoggedAt = in.now
	if err := t.validatePlain(); err != nil {
		return t, err
	}
	return t, t.notAfter(in.today)
}

// readPlace reads the combination of a line, each as it is written once.
func (in *testImport) readPlace(row sheetRow) (c trade.Combination, err error) {
	cells := [3]string{row.get("product"), row.get("instrument"), row.get("syringe")}
	if c, ok := in.places[cells]; ok {
		return c, nil
	}
	if c, err = readCombination(row, in.v); err != nil {
		return c, err
	}
	if cells[1] == "" {
		return c, trade.Refuse("instrument", "is missing")
	}
	if c, err = in.v.place(c); err != nil {
		return c, err
	}
	in.places[cells] = c
	return c, nil
}

// readTrial reads what is not about who and what.
func readTrial(t BenchTest, row sheetRow) (_ BenchTest, err error) {
	t.TestedOn, t.Liquid, t.Note = row.get("tested_on"), row.get("liquid"), row.get("note")
	t.Film = Film{Marks: row.get("film_marks"), Link: row.get("film_link")}
	if t.Lot.Number = row.get("lot"); row.get("expires") != "" {
		if t.Lot.Expires, err = quantity.Expiry(row.get("expires")); err != nil {
			return t, trade.Refuse("expires", "%s", err)
		}
	}
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
		if t.Seconds, err = readSeconds(t.SecondsTyped); err != nil {
			return t, err
		}
	}
	t.Timing = row.get("timing")
	return t.filled(), nil
}
