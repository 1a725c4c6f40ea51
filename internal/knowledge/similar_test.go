package knowledge

import (
	"fmt"
	"testing"

	"holdbench/internal/trade"
)

func TestProductsThatMayBeOneAreFound(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := found(t, s, "local")
	for _, p := range []trade.Product{
		{Name: "Velmora Soft"}, {Name: "Orrick 3"}, {Name: "Velmorra Soft"}, {Name: "Orrick 4"}, {Name: "Soft Tamsel"},
		{Name: "Alb"},
		{Name: "Alc"}, {Name: "Tamsel Soft"},
	} {
		must(g.AddProduct(t.Context(), p))(t)
	}
	got := ""
	for _, pair := range must(g.AlikeProducts(t.Context()))(t) {
		got += fmt.Sprintf("%s, %s; ", pair[0].Name, pair[1].Name)
	}
	if want := "Velmora Soft, Velmorra Soft; Soft Tamsel, Tamsel Soft; "; got != want {
		t.Errorf("%s", got)
	}
	two := must(g.AlikeProducts(t.Context()))(t)[0]
	by := must(g.Admit(t.Context(), Member{Ref: "1", Name: "Ada"}))(t)
	if err := g.TellApart(t.Context(), two[1].ID, two[0].ID, by, ""); err != nil { // in whichever order
		t.Fatal(err)
	}
	if pairs := must(g.AlikeProducts(t.Context()))(t); len(pairs) != 1 || pairs[0][0].Name != "Soft Tamsel" {
		t.Errorf("once told apart: %+v", pairs)
	}
	must(g.AddProductBy(t.Context(), trade.Product{Name: "Velmora Sofft"}, by, two[0].ID))(t)
	for _, pair := range must(g.AlikeProducts(t.Context()))(t) {
		if pair[0].ID == two[0].ID {
			t.Errorf("told apart as it was added: %+v", pair)
		}
	}
	wantsField(t, "told apart twice", g.TellApart(t.Context(), two[0].ID, two[1].ID, by, ""))
	wantsField(t, "one gel", g.TellApart(t.Context(), two[0].ID, two[0].ID, by, ""))
	if pairs := must(demo(t, s, "demo", "products").AlikeProducts(t.Context()))(t); len(pairs) > 0 {
		t.Errorf("of the demo's gels: %+v", pairs)
	}
}
