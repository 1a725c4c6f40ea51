package knowledge

import (
	"bytes"
	"fmt"
	"runtime"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// An answer that is asked for again costs the same of ten tests and of two thousand: of a long log no test is copied.
func TestAnAnswerTakesNoMoreMemoryOfManyTests(t *testing.T) { // alone: it counts what the whole program allocates
	ctx := t.Context()
	g := found(t, openStore(t), "A")
	must(g.AddProduct(ctx, trade.Product{Name: "Orrick Mid", Class: calc.MediumHA}))(t)
	must(g.AddInstrument(ctx, needle(27, 13)))(t)
	must(g.Admit(ctx, Member{Ref: "osier", Name: "Osier"}))(t)
	cost := func() uint64 {
		const times = 20
		must(g.Evidence(ctx, orrickOn27(), 0))(t)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		for range times {
			must(g.Evidence(ctx, orrickOn27(), 0))(t)
		}
		runtime.ReadMemStats(&after)
		return (after.TotalAlloc - before.TotalAlloc) / times
	}
	bringTests(t, g, "Orrick Mid", 0, 10)
	few := cost()
	bringTests(t, g, "Orrick Mid", 10, 2010)
	many := cost()
	t.Logf("%d bytes of 10 tests, %d of 2010", few, many)
	if many > 2*few {
		t.Errorf("an answer allocates %d bytes of 10 tests and %d of 2010", few, many)
	}
}

// bringTests imports tests of a gel that are all different.
func bringTests(t *testing.T, g *Group, gel string, from, to int) {
	t.Helper()
	var file bytes.Buffer
	file.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing\n")
	for n := from; n < to; n++ {
		fmt.Fprintf(&file, "2026-11-%02d,Osier,%s,27G 13 mm needle,supplied,whole milk,20,0.1,30,flashback,%.3f,video 30 fps\n",
			1+n%20, gel, 3+float64(n)/1000)
	}
	if report := must(g.Import(t.Context(), TestFile, RowsOf(&file), Importing{}))(t); report.Added != to-from {
		t.Fatalf("%+v", report)
	}
}
