package knowledge

import (
	"path/filepath"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// After a start the large products are in memory before somebody asks, and the small ones are not.
func TestLargeProductsAreReadAhead(t *testing.T) {
	t.Parallel()
	path, ctx := filepath.Join(t.TempDir(), "bench.db"), t.Context()
	s := openAt(t, path)
	g := found(t, s, "A")
	large := must(g.AddProduct(ctx, trade.Product{Name: "Orrick Mid", Class: calc.MediumHA}))(t)
	small := must(g.AddProduct(ctx, trade.Product{Name: "Pellow Lip", Class: calc.SoftHA}))(t)
	must(g.AddInstrument(ctx, needle(27, 13)))(t)
	must(g.Admit(ctx, Member{Ref: "osier", Name: "Osier"}))(t)
	bringTests(t, g, large.Name, 0, longFrom)
	bringTests(t, g, small.Name, 0, longFrom-1)
	s.files.Clear() // as after a start
	if err := s.ReadLarge(ctx); err != nil {
		t.Fatal(err)
	}
	file, there := s.files.Get(large.ID)
	if !there || file.tests() != longFrom || file.estimate == nil {
		t.Errorf("the large one: %t, %+v", there, file)
	}
	if _, there := s.files.Get(small.ID); there {
		t.Error("the small one was read, too")
	}
}
