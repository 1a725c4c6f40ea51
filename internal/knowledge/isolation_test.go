package knowledge

import (
	"bytes"
	"database/sql"
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/database"
	"holdbench/internal/trade"
)

// The proof that no method of a Group reaches another community goes by
// difference. Community A is filled the same way in two stores; the second one
// holds community B as well, with the same names and other numbers. Every method
// is then called on A in a copy of both, also with the row numbers that B's things have
// (and nothing has in the first store). Answers must not differ by a character,
// B's rows must stay as they were, and A's must be the same in both.

// rows are the numbers of a community's things.
type rows struct{ product, second, instrument, syringe, member, test, stock, claim, item, merged, watch, class int64 }

// fill founds a community: the names are the same for all, the numbers are not.
func fill(t *testing.T, s *Store, ref string, class calc.GelClass, seconds float64) (*Group, rows) {
	t.Helper()
	ctx := t.Context()
	g := found(t, s, ref)
	p := must(g.AddProduct(ctx, trade.Product{Name: "Orrick Mid", Class: class,
		Aliases: []string{"o mid", "only " + ref}}))(t)
	second := must(g.AddProduct(ctx, trade.Product{Name: "Pellow " + ref, Class: calc.MediumHA}))(t)
	i := must(g.AddInstrument(ctx, needle(27, 13)))(t)
	sy := must(g.AddSyringe(ctx, trade.Syringe{Name: "spare " + ref, VolumeML: 2}))(t)
	m := must(g.Admit(ctx, Member{Ref: "osier", Name: "Osier " + ref, Role: TrainerRole}))(t)
	must(g.Admit(ctx, Member{Ref: "member of " + ref}))(t)
	stock := must(g.AddStock(ctx, StockItem{Member: m, Combination: orrickOn27(), StockedOn: "2026-01-01"}))(t)
	if ref == "B" {
		must(g.AddStock(ctx, StockItem{Member: Member{Ref: "member of B"}, Combination: orrickOn27(),
			StockedOn: "2026-01-02"}))(t)
	}
	if ref == "B" { // a test of B's has a number that none of A's has
		must(g.LogTests(ctx, slices.Repeat([]BenchTest{shown(seconds)}, 20)))(t)
	}
	test := shown(seconds)
	test.RequestKey, test.Note, test.Lot.Number = "the same key", "a test of "+ref, "LOT1-"+ref
	logged := must(g.LogTest(ctx, test))(t)
	other := shown(seconds + 1)
	other.Combination.Product.Name = "Pellow " + ref
	must(g.LogTest(ctx, other))(t)
	upToDate(t, g)
	out := must(g.LogTest(ctx, shown(seconds)))(t)
	must(g.WithdrawTest(ctx, out.ID, m, "reason of "+ref))(t)
	upToDate(t, g)
	r := rows{product: p.ID, second: second.ID, instrument: i.ID, syringe: sy.ID, member: m.ID, test: logged.ID, stock: stock.ID}
	fillBench(t, g, &r, ref)
	return g, r
}

// upToDate waits for the estimates: what is told of two changes at once depends on which of them an estimate has seen.
func upToDate(t *testing.T, g *Group) {
	t.Helper()
	if err := g.BringUpToDate(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// cases has a call of every method of Group, by its name: on g, with the numbers
// in r. What comes back is written down and compared.
func cases(t *testing.T) map[string]func(g *Group, r rows) string {
	ctx := t.Context()
	combination := func(r rows) trade.Combination {
		return trade.Combination{Product: trade.Product{ID: r.product}, Instrument: trade.Instrument{ID: r.instrument},
			Syringe: trade.Syringe{ID: r.syringe}}
	}
	testOf := func(r rows) BenchTest {
		test := shown(4)
		test.Combination, test.Tester = combination(r), Member{ID: r.member}
		return test
	}
	file := func(lines ...string) *strings.Reader { return strings.NewReader(strings.Join(lines, "\n")) }
	export := func(write func(*bytes.Buffer) error) string {
		var out bytes.Buffer
		return wrote(out.String(), write(&out)) + out.String()
	}
	return map[string]func(g *Group, r rows) string{
		"Ref":      func(g *Group, r rows) string { return g.Ref() },
		"Settings": func(g *Group, r rows) string { return wrote(g.Settings(ctx)) },
		"UpdateSettings": func(g *Group, r rows) string {
			return wrote(nil, g.UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = 12; return nil }))
		},
		"Leave":  func(g *Group, r rows) string { return wrote(nil, g.Leave(ctx)) },
		"Left":   func(g *Group, r rows) string { return wrote(g.Left(ctx)) },
		"Return": func(g *Group, r rows) string { return wrote(nil, g.Return(ctx)) },
		"MethodChanged": func(g *Group, r rows) string {
			now, changed, err := g.MethodChanged(ctx)
			return fmt.Sprint(now, changed, err)
		},
		"Vocabulary": func(g *Group, r rows) string {
			v, err := g.Vocabulary(ctx)
			return wrote(fmt.Sprintf("%+v %+v %+v", v.Products, v.Instruments, v.Syringes), err)
		},
		"Lots":          func(g *Group, r rows) string { return wrote(g.Lots(ctx, 0)) + wrote(g.Lots(ctx, r.product)) },
		"AlikeProducts": func(g *Group, r rows) string { return wrote(g.AlikeProducts(ctx)) },
		"LastBackup":    func(g *Group, r rows) string { return wrote(g.LastBackup(ctx)) }, // of the whole store
		"Products":      func(g *Group, r rows) string { return wrote(g.Products(ctx)) },
		"Instruments":   func(g *Group, r rows) string { return wrote(g.Instruments(ctx)) },
		"Syringes":      func(g *Group, r rows) string { return wrote(g.Syringes(ctx)) },
		"Members":       func(g *Group, r rows) string { return wrote(g.Members(ctx)) },
		"OpenClass": func(g *Group, r rows) string {
			return wrote(g.OpenClass(ctx, Class{Combination: combination(r), PullML: 0.1, Liquid: "whole milk",
				LiquidC: 20, Channel: "another"})) +
				wrote(g.OpenClass(ctx, Class{Combination: combination(r), PullML: 0.2, Liquid: "water", LiquidC: 20,
					Channel: "the same channel"}))
		},
		"Class":       func(g *Group, r rows) string { return wrote(g.Class(ctx, r.class)) },
		"ClassIn":     func(g *Group, r rows) string { return wrote(g.ClassIn(ctx, "the same channel")) },
		"ClassesOver": func(g *Group, r rows) string { return wrote(g.ClassesOver(ctx, stopped.AddDate(0, 0, -1))) },
		"EndClass":    func(g *Group, r rows) string { return wrote(g.EndClass(ctx, r.class)) },
		"ClassSpread": func(g *Group, r rows) string { return wrote(g.ClassSpread(ctx, r.class)) },
		"Product": func(g *Group, r rows) string {
			return wrote(g.Product(ctx, "Orrick Mid")) + wrote(g.Product(ctx, "only B")) +
				wrote(g.Product(ctx, "Pellow B"))
		},
		"Instrument": func(g *Group, r rows) string { return wrote(g.Instrument(ctx, "27G 13 mm needle")) },
		"Syringe":    func(g *Group, r rows) string { return wrote(g.Syringe(ctx, "spare B")) },
		"Member": func(g *Group, r rows) string {
			return wrote(g.Member(ctx, "osier")) + wrote(g.Member(ctx, "member of B"))
		},
		"AddProduct": func(g *Group, r rows) string {
			return wrote(g.AddProduct(ctx, trade.Product{Name: fmt.Sprint("New ", r.product)})) +
				wrote(g.AddProduct(ctx, trade.Product{Name: "Orrick Mid"}))
		},
		"UpdateProduct": func(g *Group, r rows) string {
			return wrote(g.UpdateProduct(ctx, trade.Product{ID: r.product, Name: "Renamed", Class: calc.SoftHA}))
		},
		"AddInstrument": func(g *Group, r rows) string { return wrote(g.AddInstrument(ctx, needle(32, 4))) },
		"UpdateInstrument": func(g *Group, r rows) string {
			i := needle(27, 13)
			i.ID, i.BoreMM = r.instrument, 0.3
			return wrote(g.UpdateInstrument(ctx, i))
		},
		"AddSyringe": func(g *Group, r rows) string {
			return wrote(g.AddSyringe(ctx, trade.Syringe{Name: "spare B", VolumeML: 9}))
		},
		"Admit": func(g *Group, r rows) string {
			return wrote(g.Admit(ctx, Member{ID: r.member, Ref: "member of B", Name: "Taken"}))
		},
		"AddStock": func(g *Group, r rows) string {
			return wrote(g.AddStock(ctx, StockItem{Member: Member{ID: r.member}, Combination: combination(r),
				StockedOn: "2026-02-02"}))
		},
		"RemoveStock": func(g *Group, r rows) string { return wrote(nil, g.RemoveStock(ctx, r.stock)) },
		"Stock": func(g *Group, r rows) string {
			return wrote(g.Stock(ctx, StockFilter{})) + wrote(g.Stock(ctx,
				StockFilter{MemberID: r.member, ProductID: r.product}))
		},
		"Stocked":  func(g *Group, r rows) string { return wrote(g.Stocked(ctx)) },
		"Tested":   func(g *Group, r rows) string { return wrote(g.Tested(ctx)) },
		"Coverage": func(g *Group, r rows) string { return wrote(g.Coverage(ctx)) },
		"LogTest": func(g *Group, r rows) string {
			keyed := shown(3)
			keyed.RequestKey = "the same key"
			return wrote(g.LogTest(ctx, testOf(r))) + wrote(g.LogTest(ctx, keyed))
		},
		"EstimateMade": func(g *Group, r rows) string { return wrote(0, g.EstimateMade(ctx, r.product)) },
		"LogTests":     func(g *Group, r rows) string { return wrote(g.LogTests(ctx, []BenchTest{testOf(r)})) },
		"Test":         func(g *Group, r rows) string { return wrote(g.Test(ctx, r.test)) },
		"Tests": func(g *Group, r rows) string {
			return wrote(g.Tests(ctx, TestFilter{})) + wrote(g.Tests(ctx,
				TestFilter{ProductID: r.product, TesterID: r.member}))
		},
		"WithdrawTest": func(g *Group, r rows) string {
			return wrote(g.WithdrawTest(ctx, r.test, Member{Ref: "osier"}, "why")) +
				wrote(g.WithdrawTest(ctx, r.test, Member{ID: r.member}, "why"))
		},
		"RestoreTest": func(g *Group, r rows) string { return wrote(g.RestoreTest(ctx, r.test, Member{Ref: "osier"}, "why")) },
		"CorrectTest": func(g *Group, r rows) string {
			return wrote(g.CorrectTest(ctx, r.test, shown(6), Member{Ref: "osier"}, "why"))
		},
		"StandsInFor": func(g *Group, r rows) string {
			return wrote(g.CorrectTest(ctx, r.test, shown(6), Member{Ref: "osier"}, "why")) +
				wrote(g.StandsInFor(ctx, r.test))
		},
		"Corrections": func(g *Group, r rows) string { return wrote(g.Corrections(ctx, stopped.AddDate(0, 0, -9))) },
		"History":     func(g *Group, r rows) string { return wrote(g.History(ctx, r.test)) },
		"Evidence": func(g *Group, r rows) string {
			text := ""
			for _, c := range []trade.Combination{orrickOn27(), combination(r),
				{Product: trade.Product{ID: r.product}, Instrument: needle(30, 8)},
				{Product: trade.Product{Name: "o mid"}, Instrument: trade.Instrument{ID: r.instrument}},
				{Product: trade.Product{Name: "o mid"}, Instrument: needle(27, 13),
					Syringe: trade.Syringe{ID: r.syringe}}} {
				e, err := g.Evidence(ctx, c, 0)
				if err != nil {
					text += wrote(nil, err)
					continue
				}
				text += describe(e)
			}
			return text
		},
		"Import": func(g *Group, r rows) (text string) {
			brought := Importing{SkipBad: true, By: Member{ID: r.member}, New: Additions{
				Products: []trade.Product{{Name: "Only here"}}, Members: []Member{{Ref: "member of B"}}}}
			own := brought
			own.By = Member{Ref: "osier"}
			unestimated := Importing{Unestimated: true}
			for _, f := range []struct {
				kind  FileKind
				how   Importing
				lines []string
			}{
				// first, while no member of A has been given the row that a member of B has
				{TestFile, brought, []string{testHead, strings.Replace(goodTest, "osier,Orrick Mid", "member of B,only here", 1)}},
				{TestFile, own, []string{testHead, strings.Replace(goodTest, "osier,Orrick Mid", "member of B,only here", 1)}},
				{ProductFile, Importing{}, []string{"name,gel_class", "Orrick Mid,", "Pellow B,fine HA"}},
				{InstrumentFile, Importing{}, []string{"kind,gauge,length_mm", "needle,27,13", "needle,29,8"}},
				{SyringeFile, Importing{}, []string{"syringe,gas_ml", "supplied,0.07", "4 mL,"}},
				{MemberFile, Importing{}, []string{"member,role", "Osier B,trainer", "osier,member"}},
				{StockFile, Importing{SkipBad: true}, []string{"member,product,instrument,stocked_on",
					"osier,o mid,30G 4 mm needle,2026-03-03", "member of B,o mid,,2026-03-03"}},
				{TestFile, Importing{SkipBad: true}, []string{testHead, goodTest, strings.Replace(goodTest, "5.70", "17", 1)}},
				{TestFile, unestimated, []string{testHead, strings.Replace(goodTest, "5.70", "19", 1)}},
			} {
				text += wrote(g.Import(ctx, f.kind, RowsOf(file(f.lines...)), f.how))
			}
			return text
		},
		"Export": func(g *Group, r rows) (text string) {
			for _, kind := range append(ImportKinds(), HistoryFile) {
				text += export(func(b *bytes.Buffer) error { return g.Export(ctx, kind, b) })
			}
			return text
		},
		"ExportTestsOf": func(g *Group, r rows) string {
			return export(func(b *bytes.Buffer) error { return g.ExportTestsOf(ctx, b, Member{ID: r.member}) }) +
				export(func(b *bytes.Buffer) error { return g.ExportTestsOf(ctx, b, Member{Ref: "member of B"}) })
		},
		"RecordOf": func(g *Group, r rows) string {
			return wrote(g.RecordOf(ctx, Member{ID: r.member})) + wrote(g.RecordOf(ctx, Member{Ref: "member of B"}))
		},
		"ExportRecord": func(g *Group, r rows) string {
			return export(func(b *bytes.Buffer) error { return g.ExportRecord(ctx, b, Member{ID: r.member}) }) +
				export(func(b *bytes.Buffer) error { return g.ExportRecord(ctx, b, Member{Ref: "member of B"}) })
		},
		"EraseMember": func(g *Group, r rows) string {
			return wrote(g.EraseMember(ctx, Member{ID: r.member})) +
				wrote(g.EraseMember(ctx, Member{Ref: "member of B"})) + wrote(g.EraseMember(ctx, Member{Ref: "osier"}))
		},
	}
}

// wrote writes a result down.
func wrote(v any, err error) string { return fmt.Sprintf("%+v, %v\n", v, err) }

// rowNumbers are what may differ: a row that is new has another number where
// there are more rows in the store. The numbers of tests may not, for people see
// them and could count by them: only where a test is printed whole its number goes
// with the others, and testnumber_test.go looks at that.
var rowNumbers = regexp.MustCompile(`\b(ID|ProductID):\d+`)

func TestNoMethodReachesAnotherCommunity(t *testing.T) {
	t.Parallel()
	alone, own, _ := filledFile(t, false)
	both, same, foreign := filledFile(t, true)
	if own != same {
		t.Fatalf("the two stores are not filled alike: %+v, %+v", own, same)
	}
	if own.product == foreign.product || own.test == foreign.test {
		t.Fatal("the communities have the same row numbers")
	}
	calls := cases(t)
	maps.Copy(calls, benchCases(t))
	maps.Copy(calls, listCases(t))
	methods := reflect.TypeFor[*Group]()
	for i := range methods.NumMethod() {
		if name := methods.Method(i).Name; calls[name] == nil {
			t.Errorf("method %s has no case: nothing proves that it stays in its community", name)
		}
	}
	numbers := []rows{foreign, own}
	if !*long { // with numbers of its own a method can hardly reach another community
		numbers = numbers[:1]
	}
	for _, name := range slices.Sorted(maps.Keys(calls)) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, whose := range numbers {
				_, a1, end1 := openCopy(t, alone)
				s, a2, end2 := openCopy(t, both)
				b := must(s.Group(t.Context(), "B"))(t)
				must(b.Evidence(t.Context(), orrickOn27(), 0))(t) // its estimate is in memory, and on record
				before := communityRows(t, s, "B")
				// What only B has must be seen to be there, or the proof proves nothing.
				if !strings.Contains(before, "a test of B") || !strings.Contains(before, "only B") {
					t.Fatalf("B is not filled:\n%s", before)
				}
				want := rowNumbers.ReplaceAllString(calls[name](a1, whose), "")
				got := rowNumbers.ReplaceAllString(calls[name](a2, whose), "")
				if got != want {
					t.Errorf("answers otherwise beside another community:\ngot  %s\nwant %s", got, want)
				}
				upToDate(t, a1)
				upToDate(t, a2)
				if after := communityRows(t, s, "B"); after != before {
					t.Errorf("changed the other community:\nbefore %s\nafter %s", before, after)
				}
				if got, want := everything(t, a2), everything(t, a1); got != want {
					t.Errorf("leaves A otherwise beside another community:\ngot  %s\nwant %s", got, want)
				}
				end1()
				end2()
			}
		})
	}
}

// filledFile fills a store with A, and with B where asked, and closes it.
func filledFile(t *testing.T, withB bool) (path string, own, foreign rows) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "filled.db")
	s := must(Open(t.Context(), at(t, path), WithClock(stoppedClock), WithPatience(time.Hour)))(t)
	_, own = fill(t, s, "A", calc.MediumHA, 2.5)
	if withB {
		_, foreign = fill(t, s, "B", calc.FirmHA, 17)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path, own, foreign
}

// openCopy opens a copy of a filled store, at A.
func openCopy(t *testing.T, filled string) (s *Store, a *Group, end func()) {
	t.Helper()
	s = must(Open(t.Context(), copyOf(t, filled, filepath.Join(t.TempDir(), "copy.db")), WithClock(stoppedClock),
		WithPatience(time.Hour)))(t)
	return s, must(s.Group(t.Context(), "A"))(t), func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

// everything writes down what a community shows.
func everything(t *testing.T, g *Group) string {
	t.Helper()
	text := wrote(g.Settings(t.Context())) + benchShown(t, g)
	for _, name := range append(demoFiles, "history") {
		text += rowNumbers.ReplaceAllString(g.export(t, name), "")
	}
	for _, c := range must(g.Tested(t.Context()))(t) {
		text += describe(must(g.Evidence(t.Context(), c.Combination, 0))(t)) + "\n"
	}
	return text
}

// communityRows writes down every row of every table that belongs to a community.
func communityRows(t *testing.T, s *Store, ref string) string {
	t.Helper()
	q := s.look()
	var text strings.Builder
	for _, shape := range must(s.db.Tables(t.Context()))(t) {
		table := shape.Name
		if table == "backups" {
			continue // the store's own: it has nothing of any community
		}
		query := `SELECT * FROM ` + table + ` WHERE community_id = (SELECT id FROM communities WHERE ref = ?)`
		if table == "communities" {
			query = `SELECT * FROM communities WHERE ref = ?`
		}
		lines, err := database.Collect(t.Context(), q, scanAny, query, ref)
		if err != nil {
			t.Fatalf("%s: %v", table, err) // a table without the community cannot be told apart
		}
		fmt.Fprintf(&text, "%s: %s\n", table, strings.Join(lines, "\n  "))
	}
	return text.String()
}

// scanAny scans a row of any columns.
func scanAny(found *sql.Rows, line *string) error {
	columns, err := found.Columns()
	if err != nil {
		return err
	}
	cells, to := make([]any, len(columns)), make([]any, len(columns))
	for i := range cells {
		to[i] = &cells[i]
	}
	err = found.Scan(to...)
	for i := range cells {
		if blob, is := cells[i].([]byte); is { // a number a byte would take most of the time of a test
			cells[i] = string(blob)
		}
	}
	*line = fmt.Sprint(cells...)
	return err
}

func TestTheStoreItselfKeepsCommunitiesApart(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	a, own := fill(t, s, "A", calc.MediumHA, 2.5)
	_, foreign := fill(t, s, "B", calc.FirmHA, 17)
	// Whatever a query might get wrong, the foreign keys refuse a row that points
	// into another community.
	for column, id := range map[string]int64{"product_id": foreign.product, "instrument_id": foreign.instrument,
		"syringe_id": foreign.syringe, "tester_id": foreign.member} {
		_, err := unchecked(s).Exec(t.Context(), `UPDATE tests SET `+column+` = ? WHERE community_id = ? AND id = ?`, id, a.id, own.test)
		if err == nil {
			t.Errorf("a test of A was given %s of B", column)
		}
	}
}
