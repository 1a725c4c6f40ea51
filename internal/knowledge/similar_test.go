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
	if pairs := must(demo(t, s, "demo", "products").AlikeProducts(t.Context()))(t); len(pairs) > 0 {
		t.Errorf("of the demo's gels: %+v", pairs)
	}
}
