package knowledge

import (
	"context"
	"io"

	"holdbench/internal/calc"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// testTable: the columns of films and of lots are written only if some test has them.
func testTable(names fileNames) table[BenchTest] {
	combination := func(t *BenchTest) *trade.Combination { return &t.Combination }
	film := func(t *BenchTest) bool { return t.Film != (Film{}) }
	lot := func(t *BenchTest) bool { return t.Lot != (trade.Lot{}) }
	pull := number("pull_ml", func(t *BenchTest) *float64 { return &t.PullML }).optionally()
	seconds := words("seconds", func(t *BenchTest) *string { return &t.SecondsTyped })
	expires := words("expires", func(t *BenchTest) *string { return &t.Lot.Expires }).onlyWhere(lot)
	pull.read, seconds.read, expires.read = readPull, readTypedSeconds, readExpires
	return table[BenchTest]{
		words("tested_on", func(t *BenchTest) *string { return &t.TestedOn }),
		memberColumn(names, func(t *BenchTest) *Member { return &t.Tester }),
		productColumn(names, combination), instrumentColumn(names, combination), syringeColumn(names, combination),
		words("liquid", func(t *BenchTest) *string { return &t.Liquid }),
		number("liquid_c", func(t *BenchTest) *float64 { return &t.LiquidC }),
		pull,
		number("limit_s", func(t *BenchTest) *float64 { return &t.WatchedS }),
		words("outcome", func(t *BenchTest) *Outcome { return &t.Outcome }),
		seconds,
		words("timing", func(t *BenchTest) *string { return &t.Timing }),
		words("note", func(t *BenchTest) *string { return &t.Note }).optionally(),
		words("film_marks", func(t *BenchTest) *string { return &t.Film.Marks }).onlyWhere(film),
		words("film_link", func(t *BenchTest) *string { return &t.Film.Link }).onlyWhere(film),
		words("lot", func(t *BenchTest) *string { return &t.Lot.Number }).onlyWhere(lot),
		expires,
	}
}

// readPull: a pull that is not recorded is calc.DefaultPull.
func readPull(t *BenchTest, cell string) (err error) {
	t.PullML = calc.DefaultPull.Millilitres()
	if cell != "" {
		t.PullML, err = trade.ReadNumber("pull_ml", cell)
	}
	return err
}

// readTypedSeconds comes after the outcome: only flashback has seconds that must be read.
func readTypedSeconds(t *BenchTest, cell string) (err error) {
	t.SecondsTyped = cell
	if t.Outcome != Flashback {
		return nil
	}
	if cell == "" {
		return trade.Refuse("seconds", "is missing; when did flashback come?")
	}
	t.Seconds, err = readSeconds(cell)
	return err
}

func readExpires(t *BenchTest, cell string) (err error) {
	if cell == "" {
		return nil
	}
	if t.Lot.Expires, err = quantity.Expiry(cell); err != nil {
		return trade.Refuse("expires", "%s", err)
	}
	return nil
}

// ExportTestsOf writes the kept tests of one member, as Export does.
// ErrNotFound for somebody who is not a member.
func (g *Group) ExportTestsOf(ctx context.Context, w io.Writer, m Member) (err error) {
	defer wrap(&err, "export tests of a member")
	if m, err = g.resolveMember(ctx, g.store.look(), m); err != nil {
		return err
	}
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	return g.exportTests(ctx, w, newMemberNames(members), TestFilter{State: Kept, TesterID: m.ID})
}

func (g *Group) exportTests(ctx context.Context, w io.Writer, names *memberNames, f TestFilter) error {
	tests, err := g.Tests(ctx, f)
	if err != nil {
		return err
	}
	return testTable(fileNames{members: names}).writeTo(w, tests)
}
