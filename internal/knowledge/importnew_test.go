package knowledge

import (
	"fmt"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// A table that brings names along: tried first, then stored with them, then there already.
func TestNamesThatComeWithTestsAreStoredWithThem(t *testing.T) {
	g := small(t, openStore(t), "local")
	file := testHead + "\n" + goodTest + "\n" + strings.Replace(goodTest, "osier,Orrick Mid", "gull,Pellow Lip", 1) +
		"\n"
	how := Importing{By: Member{Ref: "lantern"}, Dry: true, New: Additions{
		Products: []trade.Product{{Name: "Pellow Lip", Class: calc.SoftHA}}, Members: []Member{{Ref: "gull"}}}}
	take := func() ImportReport {
		return must(g.Import(t.Context(), TestFile, RowsOf(strings.NewReader(file)), how))(t)
	}
	if r := take(); r.Added != 2 || r.Bad != 0 {
		t.Errorf("tried: %+v", r)
	}
	if n := len(must(g.Tests(t.Context(), TestFilter{}))(t)); n != 0 || len(must(g.Products(t.Context()))(t)) != 1 {
		t.Errorf("%d tests of a trial are stored", n)
	}
	how.Dry = false
	if r := take(); r.Added != 2 {
		t.Errorf("stored: %+v", r)
	}
	if r := take(); r.Added != 0 || r.Already != 2 {
		t.Errorf("again: %+v", r)
	}
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	if len(tests) != 2 || tests[1].Tester.Name != "gull" || tests[1].Combination.Product.Class != calc.SoftHA {
		t.Errorf("got %+v", tests)
	}
	for _, test := range tests { // who made it is credited, who brought it in is in the history
		if by := must(g.History(t.Context(), test.ID))(t)[0]; by.Action != Imported || by.By.Ref != "lantern" {
			t.Errorf("%+v", by)
		}
	}
	for _, c := range must(g.Changes(t.Context(), ChangeFilter{}))(t) {
		if c.By.Ref != "lantern" {
			t.Errorf("%+v", c)
		}
	}
	how.New.Products[0].Name = "Orriсk Mid" // with a Cyrillic letter in it
	if _, err := g.Import(t.Context(), TestFile, RowsOf(strings.NewReader(file)), how); err == nil ||
		!strings.Contains(err.Error(), "Orrick Mid") {
		t.Errorf("a name drawn like another: %v", err)
	}
}

// More rows than are held are read twice; what is new with them is stored once.
func TestALongTableBringsItsNamesOnce(t *testing.T) {
	g := large(t, inParts(openStore(t)), 3)
	rows := ofLong(twoParts(g), 25_000)
	how := Importing{New: Additions{Products: []trade.Product{{Name: "Gel 3"}}}, Unestimated: true}
	open := func() (Rows, error) { return RowsOf(longFile(rows, 4))() }
	if r := must(g.Import(t.Context(), TestFile, open, how))(t); r.Added != rows || r.Rows != rows {
		t.Errorf("%+v", r)
	}
	if r := must(g.Import(t.Context(), TestFile, open, how))(t); r.Added != 0 || r.Already != rows {
		t.Errorf("again: %+v", r)
	}
}

func TestTheHeadingTellsTheKindOfFile(t *testing.T) {
	for want, names := range map[FileKind][]string{TestFile: testTable(fileNames{}).names(),
		StockFile: stockTable(fileNames{}).names(), InstrumentFile: instrumentTable()[:6].names(),
		ProductFile: productTable()[:4].names(), MemberFile: memberTable(nil).names(), SyringeFile: syringeTable().names()} {
		cells := strings.Split(strings.ToUpper(strings.Join(names, ",")), ",")
		if got := KindOfHeading(cells); got != want {
			t.Errorf("%v: %q", cells, got)
		}
	}
	for _, other := range []string{"gel,needle,seconds", "name,gel_class,mood", ""} {
		if got := KindOfHeading(strings.Split(other, ",")); got != "" {
			t.Errorf("%s: %s", fmt.Sprint(other), got)
		}
	}
}
