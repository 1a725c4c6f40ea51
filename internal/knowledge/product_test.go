package knowledge

import (
	"errors"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

func TestAProductNameIsUniqueWhateverTheCaseAndSpacing(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	for _, p := range []trade.Product{
		{Name: "ORRICK MID"}, {Name: "orrickmid"}, {Name: "O Mid"},
		{Name: "Another", Aliases: []string{"orrick  Mid"}}, {Name: "Another", Aliases: []string{"omid"}},
	} {
		if _, err := g.AddProduct(t.Context(), p); !errors.Is(err, ErrDuplicate) {
			t.Errorf("%+v: got %v", p, err)
		}
	}
	if n := len(must(g.Products(t.Context()))(t)); n != 1 {
		t.Errorf("%d products are left of refused ones", n-1)
	}
}

func TestProductsThatCannotBeAreRefused(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	for field, p := range map[string]trade.Product{
		"product name":  {Name: "  "},
		"gel class":     {Name: "x", Class: "jelly"},
		"first stocked": {Name: "x", FirstStocked: "2026-02-30"},
		"alias":         {Name: "x", Aliases: []string{"a;b"}},
	} {
		_, err := g.AddProduct(t.Context(), p)
		refused(t, err, field)
	}
	for _, p := range []trade.Product{{Name: strings.Repeat("x", 81)}, {Name: "a\u202eb"}, {Name: "a\x00b"},
		{Name: "\xff"}} {
		_, err := g.AddProduct(t.Context(), p)
		refused(t, err, "product name")
	}
	for _, p := range []trade.Product{{Name: "x", Aliases: []string{"X"}}, {Name: "x", Aliases: []string{"y", "Y "}}} {
		_, err := g.AddProduct(t.Context(), p)
		refused(t, err, "alias")
	}
	if p := must(g.AddProduct(t.Context(), trade.Product{Name: "  Plain   One "}))(t); p.Name != "Plain One" ||
		p.Class != calc.UnknownGel {
		t.Errorf("got %+v", p)
	}
}

func TestAProductIsRenamedWithItsTests(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	must(g.LogTest(t.Context(), shown(2)))(t)
	p := must(g.Product(t.Context(), "Orrick Mid"))(t)
	p.Name, p.Aliases, p.Class = "Orrick Middle", []string{"Orrick Mid"}, calc.FirmHA
	must(g.UpdateProduct(t.Context(), p))(t)
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t) // by the name that is an alias now
	if e.Combination.Product.Name != "Orrick Middle" || e.Counts.Run != 1 || e.ClassTests != 1 ||
		must(g.Tests(t.Context(), TestFilter{IDs: e.Tests.Latest(0, 1)}))(t)[0].Combination.Product.Class != calc.FirmHA {
		t.Errorf("got %s, %+v, class tests %d", e.Combination, e.Counts, e.ClassTests)
	}
	if _, err := g.Product(t.Context(), "o mid"); !errors.Is(err, ErrNotFound) {
		t.Errorf("an alias that was taken out is still there: %v", err)
	}
	p.ID = 999
	if _, err := g.UpdateProduct(t.Context(), p); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}
