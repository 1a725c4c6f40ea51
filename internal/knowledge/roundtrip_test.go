package knowledge

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdbench/internal/calc"
	"holdbench/internal/patientdata"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// awkward are the characters that files, spreadsheets and names trip over.
var awkward = []rune("aAbz09 =+-@'\",;:.%/|\\<>()éßжÅ①😀＝\u00a0")

// text draws text of awkward characters that the rules let through.
func text(t *rapid.T, label string, allowed func(string) bool) string {
	return rapid.Custom(func(t *rapid.T) string {
		return trade.Tidy(string(rapid.SliceOfN(rapid.SampledFrom(awkward), 0, 12).Draw(t, "runes")))
	}).Filter(func(s string) bool { return patientdata.Look(s).Verdict == patientdata.Clear && allowed(s) }).Draw(t,
		label)
}

// drawCommunity fills a community with products, members, stock and tests.
func drawCommunity(t *rapid.T, ctx context.Context, g *Group, q querier) error {
	taken := make(map[string]bool) // by spelling and by looks: what is drawn like another name is refused
	name := func(s string) bool {
		return trade.CheckText("name", s, 40) == nil && !strings.Contains(s, trade.AliasBreak) && trade.Fold(s) != "" &&
			!taken[trade.Fold(s)] && !taken["looks "+skeleton(s)]
	}
	take := func(s string) { taken[trade.Fold(s)], taken["looks "+skeleton(s)] = true, true }
	var products []trade.Product
	for range rapid.IntRange(1, 2).Draw(t, "products") {
		p := trade.Product{Class: rapid.SampledFrom(calc.GelClasses()).Draw(t, "class"),
			FirstStocked: rapid.SampledFrom([]string{"", "2026-01-02"}).Draw(t, "first"),
			RetiredOn:    rapid.SampledFrom([]string{"", "2026-02-03"}).Draw(t, "retired")}
		p.Name = text(t, "product", name)
		take(p.Name)
		if rapid.Bool().Draw(t, "has alias") {
			p.Aliases = []string{text(t, "alias", name)}
			take(p.Aliases[0])
		}
		p, err := g.addProduct(ctx, q, p)
		if err != nil {
			return err
		}
		products = append(products, p)
	}
	var members []Member
	for range rapid.IntRange(1, 3).Draw(t, "members") {
		m, err := g.admit(ctx, q, Member{Ref: text(t, "ref", name),
			Role: rapid.SampledFrom([]Role{MemberRole, TrainerRole}).Draw(t, "role")})
		if err != nil {
			return err
		}
		take(m.Ref)
		members = append(members, m)
	}
	for range rapid.IntRange(0, 4).Draw(t, "tests") {
		test := drawTest(t, rapid.SampledFrom(products).Draw(t, "of"), rapid.SampledFrom(members).Draw(t, "by"))
		for range rapid.IntRange(1, 2).Draw(t, "times") {
			if _, err := g.logTest(ctx, q, test); err != nil {
				return err
			}
		}
		item := StockItem{Member: test.Tester, Combination: test.Combination, StockedOn: test.TestedOn}
		if _, _, err := g.addStock(ctx, q, item); err != nil {
			return err
		}
	}
	return nil
}

func drawTest(t *rapid.T, p trade.Product, by Member) BenchTest {
	test := BenchTest{
		Combination: trade.Combination{Product: p, Instrument: trade.Instrument{
			Kind:     rapid.SampledFrom([]trade.Kind{trade.Needle, trade.Cannula}).Draw(t, "kind"),
			Gauge:    rapid.SampledFrom([]int{22, 27, 30, 31}).Draw(t, "gauge"),
			LengthMM: rapid.SampledFrom([]float64{4, 12.7, 13, 50}).Draw(t, "length"),
			Wall:     rapid.SampledFrom([]calc.WallClass{"", calc.Regular, calc.Thin, calc.ExtraThin}).Draw(t, "wall"),
		}},
		Tester: by,
		TestedOn: fmt.Sprintf("2026-%02d-%02d", rapid.IntRange(1, 10).Draw(t, "month"),
			rapid.IntRange(1, 28).Draw(t, "day")),
		Liquid:   text(t, "liquid", func(s string) bool { return s != "" && trade.CheckFreeText("liquid", s) == nil }),
		LiquidC:  float64(rapid.IntRange(0, 450).Draw(t, "tenths of a degree")) / 10,
		PullML:   float64(rapid.IntRange(1, 100).Draw(t, "hundredths")) / 100,
		WatchedS: float64(rapid.IntRange(1, 600).Draw(t, "watched")),
		Outcome:  rapid.SampledFrom([]Outcome{Flashback, None}).Draw(t, "outcome"),
		Timing:   rapid.SampledFrom([]string{"stopwatch", "video 29.97 fps", "video 240 fps"}).Draw(t, "timing"),
		Note:     text(t, "note", func(s string) bool { return trade.CheckFreeText("note", s) == nil }),
	}
	if test.Combination.Instrument.Gauge == 27 && test.Combination.Instrument.Wall == calc.ExtraThin {
		test.Combination.Instrument.Wall = "" // no bore known
	}
	if rapid.Bool().Draw(t, "filmed") {
		test.Film.Marks = text(t, "marks", func(s string) bool { return s == "" || trade.CheckText("film", s, maxFilmMarks) == nil })
		test.Film.Link = rapid.SampledFrom([]string{"", "https://films.example/1?a=b,c",
			"https://films.example/2"}).Draw(t, "link")
	}
	if rapid.Bool().Draw(t, "has a lot") {
		test.Lot.Number = rapid.SampledFrom([]string{"", "A12", "7-4/b", "0447112345"}).Draw(t, "lot")
		test.Lot.Expires = rapid.SampledFrom([]string{"", "2026-03", "2027-02-28"}).Draw(t, "expires")
	}
	if test.Outcome == Flashback {
		hundredths := rapid.IntRange(0, int(test.WatchedS)*100).Draw(t, "hundredths of a second")
		test.SecondsTyped = rapid.SampledFrom([]string{"%d.%02d", "%d,%02d", "%d.%02d s", "%d.%02d0"}).Draw(t,
			"typed as")
		test.SecondsTyped = fmt.Sprintf(test.SecondsTyped, hundredths/100, hundredths%100)
		test.Seconds, _ = readSeconds(test.SecondsTyped)
	}
	return test
}

func TestAnyLogComesBackFromItsFiles(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	refs := 0
	rapid.Check(t, func(rt *rapid.T) {
		refs++
		g, other := found(t, s, fmt.Sprint("from ", refs)), found(t, s, fmt.Sprint("to ", refs))
		err := s.inTx(t.Context(), func(q querier) error { return drawCommunity(rt, t.Context(), g, q) })
		if err != nil {
			rt.Fatal(err)
		}
		for _, name := range demoFiles {
			file := g.export(t, name)
			for _, to := range []*Group{other, g} {
				r, err := to.Import(t.Context(), name, RowsOf(strings.NewReader(file)), Importing{})
				if err != nil || len(r.Faults) > 0 {
					rt.Fatalf("%s: %+v, %v\n%s", name, r, err, file)
				}
				if to == g && r.Already != r.Rows {
					rt.Fatalf("%s: its own file changed it: %+v\n%s", name, r, file)
				}
			}
			if got := other.export(t, name); got != file {
				rt.Fatalf("%s is another after a round:\n%s\n%s", name, file, got)
			}
		}
	})
}

// A file says what is retired, and brings it back as retired; what is in use here stays so.
func TestWhatIsRetiredComesBackFromItsFiles(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g, other, ctx := small(t, s, "from"), found(t, s, "to"), t.Context()
	mid, twin := twoProducts(t, g)
	must(g.RetireProduct(ctx, mid.ID, false, lantern, ""))(t)
	thin := must(g.AddInstrument(ctx, needle(31, 8)))(t)
	must(g.RetireInstrument(ctx, thin.ID, false, lantern, ""))(t)
	must(other.AddProduct(ctx, trade.Product{Name: mid.Name, Class: mid.Class}))(t)
	for _, name := range []FileKind{"products", "instruments"} {
		must(other.Import(ctx, name, RowsOf(strings.NewReader(g.export(t, name))), Importing{}))(t)
	}
	if p := must(other.Product(ctx, mid.Name))(t); p.RetiredOn != "" {
		t.Errorf("a gel in use was retired by a file: %+v", p)
	}
	if i := must(other.Instrument(ctx, thin.Name()))(t); i.RetiredOn == "" {
		t.Error("the needle came back as in use")
	}
	if file := g.export(t, "products"); !strings.Contains(file, "retired_on") || twin.RetiredOn != "" {
		t.Errorf("the file:\n%s", file)
	}
	must(g.RetireProduct(ctx, mid.ID, true, lantern, ""))(t)
	if file := g.export(t, "products"); strings.Contains(file, "retired_on") {
		t.Errorf("nothing is retired:\n%s", file)
	}
	report := must(g.Import(ctx, ProductFile, RowsOf(strings.NewReader("name,gel_class,retired_on\nHesk Paste,CaHA paste,lately\n")), Importing{}))(t)
	if len(report.Faults) != 1 || !strings.Contains(report.Faults[0].Problem, "not a date") {
		t.Errorf("%+v", report)
	}
}

func FuzzReadTests(f *testing.F) {
	f.Add([]byte(testHead + "\r\n" + goodTest))
	f.Add([]byte("\uFEFF" + testHead + "\n" + strings.Replace(goodTest, "5.70", "\"5,7\"", 1)))
	f.Add([]byte("note,timing,seconds,outcome,limit_s,liquid_c,liquid,instrument,product,member,tested_on\n'=1,stopwatch,,none,20,21,milk,25g 38mm cannula,o mid,osier,2026-01-01"))
	f.Add([]byte(testHead + ",film_marks,film_link\n" + goodTest + ",0:12.40-0:17.13,https://films.example/1"))
	f.Add([]byte(testHead + "\n\"open"))
	f.Add([]byte("\xff\xfe" + testHead))
	v := &Vocabulary{Products: []trade.Product{{ID: 1, Name: "Orrick Mid", Aliases: []string{"o mid"}}},
		Syringes: []trade.Syringe{{ID: 1, Name: trade.Supplied, GasML: 0.03}}}
	v.index()
	names := fileNames{newMemberNames([]Member{{ID: 1, Ref: "osier", Name: "osier"}, {ID: 2, Ref: "2", Name: "2"}}), v}
	read := func(data []byte) (tests []BenchTest, faults int) {
		in := testImport{names: names, today: "9999-12-31"}
		var report ImportReport
		table, err := RowsOf(bytes.NewReader(data))()
		var whole *sheet.Problem
		if errors.As(err, &whole) {
			return nil, 1
		}
		if err != nil {
			f.Fatal(err)
		}
		usable, err := testTable(names).readAll(table, true, &report, func(test BenchTest) error {
			test, err := in.checked(test)
			if err == nil {
				tests = append(tests, test)
			}
			return err
		})
		if err != nil {
			f.Fatal(err) // bytes cannot fail to be read, and every other error is a line's own fault
		}
		if !usable {
			tests = nil
		}
		return tests, report.Bad
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		tests, _ := read(data)
		var out bytes.Buffer
		for _, test := range tests {
			if err := test.Validate(); err != nil {
				t.Errorf("read %+v: %v", test, err)
			}
			if _, err := test.Trial(); err != nil {
				t.Errorf("read %+v: %v", test, err)
			}
		}
		if err := testTable(names).writeTo(&out, tests); err != nil {
			t.Fatal(err)
		}
		again, faults := read(out.Bytes())
		if faults > 0 || len(again) != len(tests) {
			t.Fatalf("%d tests were read back as %d, %d faults:\n%s", len(tests), len(again), faults, out.String())
		}
		for i := range tests {
			a, b := tests[i], again[i]
			if a.content() != b.content() || a.Film != b.Film || a.SecondsTyped != b.SecondsTyped ||
				a.Combination.Instrument.Name() != b.Combination.Instrument.Name() {
				t.Errorf("%+v was read back as %+v", a, b)
			}
		}
	})
}
