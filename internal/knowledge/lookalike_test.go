package knowledge

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// alike are names that are drawn like Tamsel Soft: Cyrillic letters, a capital I, a
// zero-width space, rn for m, full-width letters and a soft hyphen.
var alike = []string{"Таmsel Soft", "Tаmsеl Sоft", "TamseI Soft", "Tamsel\u200b Soft", "Tarnsel Soft", "Tаｍsel Soft",
	"Tam\u00adsel Soft", "Tamsel Ѕoft"}

func wantsField(t *testing.T, what string, err error) {
	t.Helper()
	var f *trade.FieldError
	if !errors.As(err, &f) {
		t.Errorf("%s: got %v, want a *FieldError", what, err)
	}
}

func TestAProductThatLooksLikeAnotherIsRefused(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	must(g.AddProduct(t.Context(), trade.Product{Name: "Tamsel Soft", Class: calc.SoftHA}))(t)
	other := must(g.AddProduct(t.Context(), trade.Product{Name: "Orrick Mid", Class: calc.MediumHA}))(t)
	by := must(g.Admit(t.Context(), Member{Ref: "1", Name: "Ada"}))(t)
	for _, name := range alike {
		_, err := g.AddProduct(t.Context(), trade.Product{Name: name})
		wantsField(t, "add "+name, err)
		_, err = g.AddProduct(t.Context(), trade.Product{Name: "Hesk Paste", Aliases: []string{name}})
		wantsField(t, "add with alias "+name, err)
		_, err = g.AddAlias(t.Context(), other.ID, name, by)
		wantsField(t, "alias "+name, err)
		_, err = g.RenameProduct(t.Context(), other.ID, name, by, "")
		wantsField(t, "rename "+name, err)
		for _, file := range []string{"name,gel_class,aliases\n" + name + ",soft HA,\n",
			"name,gel_class,aliases\nPellow Lip,soft HA," + name + "\n"} {
			report := must(g.Import(t.Context(), ProductFile, RowsOf(strings.NewReader(file)), Importing{}))(t)
			if len(report.Faults) != 1 || report.Added != 0 {
				t.Errorf("import %q: %+v", file, report)
			}
		}
	}
	if products := must(g.Products(t.Context()))(t); len(products) != 2 {
		t.Errorf("%d products are stored", len(products))
	}
}

// What is done with a name beside one that is on the list: "same" where letter case and
// spaces alone differ, which no question could tell apart; "refused" where the eye cannot
// tell, whatever was answered; "asked" where it goes on the list after a yes; "kept" where
// nothing is asked. A file asks nobody: it brings what is kept alone. (The project's
// choice, by what mixing two gels up would do.)
func TestNamesByHowAlikeTheyAre(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	for i, c := range []struct{ listed, name, want string }{
		{"Tamsel Soft", "TAMSEL  soft", "same"}, {"Tamsel Soft", "Tamsel\u00a0Soft", "same"},
		{"Tamsel Soft", "Tamsel Ｓoft", "same"},
		{"Tamsel Soft", "Таmsel Soft", "refused"}, {"Tamsel Soft", "Tamsel Ѕoft", "refused"},
		{"Tamsel Soft", "Tamsel\u200b Soft", "refused"}, {"Tamsel Soft", "Tam\u00adsel Soft", "refused"},
		{"Tamsel Soft", "TamseI Soft", "refused"}, {"Tamsel Soft", "Tarnsel Soft", "refused"},
		{"Orrick-Mid", "Orrick‐Mid", "refused"},
		{"Orrick Mid", "0rrick Mid", "asked"}, {"0rrick Mid", "Orrick Mid", "asked"},
		{"Ork", "0rk", "asked"}, {"Tamsel II", "Tamsel 11", "asked"}, {"Pellow Lip", "Pe11ow Lip", "asked"},
		{"0rrick Mid", "Оrrick Mid", "asked"}, // the one nobody could tell from it is not on the list
		{"Orrick Mid", "Órrick Mid", "asked"}, {"Orrick Mid", "Orick Mid", "asked"},
		{"Orrick Mid", "Mid Orrick", "asked"}, {"Orrick Mid", "Hesk Paste", "kept"},
	} {
		g, ctx := found(t, s, fmt.Sprint("group ", i)), t.Context()
		must(g.AddProduct(ctx, trade.Product{Name: c.listed, Class: calc.SoftHA}))(t)
		got := "kept"
		if similar, err := g.SimilarProducts(ctx, c.name); err != nil || len(similar) > 0 {
			got = "asked"
		}
		_, err := g.AddProduct(ctx, trade.Product{Name: c.name, Class: calc.SoftHA})
		var f *trade.FieldError
		switch {
		case errors.As(err, &f):
			got = "refused"
		case errors.Is(err, ErrDuplicate):
			got = "same"
		case err != nil:
			t.Fatal(err)
		}
		if got != c.want {
			t.Errorf("%q beside %q: %s, want %s (%v)", c.name, c.listed, got, c.want, err)
		}
		if looks := g.CheckProductName(ctx, 0, c.name); (looks != nil) != (c.want == "refused") &&
			trade.Visible(c.name) == c.name { // what cannot be seen is refused before
			t.Errorf("%q beside %q: said beforehand: %v", c.name, c.listed, looks)
		}
	}
}

// A file that has both names says itself that they are two; beside a list that has the one
// it is nobody's word.
func TestAFileBringsAlikeNamesThatItHasBoth(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := found(t, s, "local")
	const head, one, other = "name,gel_class\n", "Orrick Mid,soft HA\n", "0rrick Mid,soft HA\n"
	if r := must(g.Import(t.Context(), ProductFile, RowsOf(strings.NewReader(head+one+other)), Importing{}))(t); r.Added != 2 {
		t.Errorf("both: %+v", r)
	}
	if pairs := must(g.AlikeProducts(t.Context()))(t); len(pairs) != 1 {
		t.Errorf("the desk asks about %+v", pairs)
	}
	g = found(t, s, "second")
	must(g.AddProduct(t.Context(), trade.Product{Name: "Orrick Mid", Class: calc.SoftHA}))(t)
	r := must(g.Import(t.Context(), ProductFile, RowsOf(strings.NewReader(head+other)), Importing{}))(t)
	if len(r.Faults) != 1 || !strings.Contains(r.Faults[0].Problem, "nearly") {
		t.Errorf("beside the list: %+v", r)
	}
}

func TestNamesOfOneScriptAreKept(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	for _, name := range []string{"Tamsel Soft", "Tamsel Soft 2", "Тамсель Мягкий", "Ταμσελ", "タムセル", "Tämsel Soft",
		"Orrick Mid", "Orrick Max"} {
		must(g.AddProduct(t.Context(), trade.Product{Name: name}))(t)
	}
}

func TestAMemberThatLooksLikeAnotherIsRefused(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	must(g.Admit(t.Context(), Member{Ref: "1", Name: "Pell Ormond"}))(t)
	must(g.Admit(t.Context(), Member{Ref: "2", Name: "Pell Ormond"}))(t) // two of one name are told apart by their ids
	for i, name := range []string{"Рell Ormond", "PeII Ormond", "Pell Orrnond", "a former member",
		"A Former\u200b Member", "а former member", "former member 3"} {
		_, err := g.Admit(t.Context(), Member{Ref: "x", Name: name})
		wantsField(t, name, err)
		_, err = g.Admit(t.Context(), Member{Ref: "2", Name: name})
		wantsField(t, "rename to "+name, err)
		if i < 6 { // a file of the group's own has former members by number
			report := must(g.Import(t.Context(), MemberFile, RowsOf(strings.NewReader("member,role\n"+name+",member\n")), Importing{}))(t)
			if len(report.Faults) != 1 {
				t.Errorf("import %q: %+v", name, report)
			}
		}
	}
	if m := must(g.Admit(t.Context(), Member{Ref: "3", Name: "Bo\u200b Ashe"}))(t); m.Name != "Bo Ashe" {
		t.Errorf("stored as %q", m.Name)
	}
}

func TestAFileWithADoubtfulTextIsAtFault(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	report := must(g.Import(t.Context(), ProductFile, RowsOf(strings.NewReader("name,gel_class,aliases\nPellow Lip,soft HA,gel "+
		"of my patient\n")), Importing{}))(t)
	if len(report.Faults) != 1 || !strings.Contains(report.Faults[0].Problem, "about a patient") {
		t.Errorf("%+v", report)
	}
}
