package knowledge

import (
	"context"
	"io"

	"holdbench/internal/calc"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// testTable: the columns of films and of lots are written where one of the tests has any.
func testTable(names *memberNames) table[BenchTest] {
	film := func(t BenchTest) bool { return t.Film != (Film{}) }
	lot := func(t BenchTest) bool { return t.Lot != (trade.Lot{}) }
	return table[BenchTest]{
		{"tested_on", false, func(t BenchTest) string { return t.TestedOn }, nil},
		{"member", false, func(t BenchTest) string { return names.write(t.Tester) }, nil},
		{"product", false, func(t BenchTest) string { return t.Combination.Product.Name }, nil},
		{"instrument", false, func(t BenchTest) string { return t.Combination.Instrument.Name() }, nil},
		{"syringe", true, func(t BenchTest) string { return t.Combination.Syringe.Name }, nil},
		{"liquid", false, func(t BenchTest) string { return t.Liquid }, nil},
		{"liquid_c", false, func(t BenchTest) string { return trade.Number(t.LiquidC) }, nil},
		{"pull_ml", true, func(t BenchTest) string { return trade.Number(t.PullML) }, nil},
		{"limit_s", false, func(t BenchTest) string { return trade.Number(t.WatchedS) }, nil},
		{"outcome", false, func(t BenchTest) string { return string(t.Outcome) }, nil},
		{"seconds", false, func(t BenchTest) string { return t.SecondsTyped }, nil},
		{"timing", false, func(t BenchTest) string { return t.Timing }, nil},
		{"note", true, func(t BenchTest) string { return t.Note }, nil},
		{"film_marks", true, func(t BenchTest) string { return t.Film.Marks }, film},
		{"film_link", true, func(t BenchTest) string { return t.Film.Link }, film},
		{"lot", true, func(t BenchTest) string { return t.Lot.Number }, lot},
		{"expires", true, func(t BenchTest) string { return t.Lot.Expires }, lot},
	}
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
	return testTable(newMemberNames(members)).write(w, tests)
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
