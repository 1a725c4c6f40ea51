package knowledge

import (
	"errors"
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
			report := must(g.ImportProducts(t.Context(), strings.NewReader(file), false))(t)
			if len(report.Faults) != 1 || report.Added != 0 {
				t.Errorf("import %q: %+v", file, report)
			}
		}
	}
	if products := must(g.Products(t.Context()))(t); len(products) != 2 {
		t.Errorf("%d products are stored", len(products))
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
			report := must(g.ImportMembers(t.Context(), strings.NewReader("member,role\n"+name+",member\n"), false))(t)
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
	report := must(g.ImportProducts(t.Context(), strings.NewReader("name,gel_class,aliases\nPellow Lip,soft HA,gel "+
		"of my patient\n"), false))(t)
	if len(report.Faults) != 1 || !strings.Contains(report.Faults[0].Problem, "about a patient") {
		t.Errorf("%+v", report)
	}
}
