package knowledge

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"holdbench/internal/calc"
)

// The size of the community that the benchmarks ask.
const (
	manyProducts = 2_000
	manyTests    = 100_000
	askedAbout   = 20 // products whose estimates are computed
)

// largeCommunity fills a store with made-up tests. They are drawn with a fixed
// seed and are nobody's; estimates are computed only for the products asked about.
func largeCommunity(b *testing.B) (*Group, []Combination) {
	b.Helper()
	s := openStore(b)
	g := found(b, s, "large")
	ctx := b.Context()
	var asked []Combination
	err := s.inTx(ctx, func(q querier) error {
		products, instruments, members := fillLists(b, ctx, g, q)
		supplied := must(g.vocabulary(ctx, q))(b).Syringes[0]
		rng := rand.New(rand.NewPCG(1, 2))
		tallies := make(map[combinationKey]int)
		for n := range manyTests {
			test := shown(float64(1+rng.IntN(2900)) / 100)
			test.Combination = Combination{Product: products[n%manyProducts], Instrument: instruments[rng.IntN(5)], Syringe: supplied}
			test.Tester, test.LoggedAt = members[rng.IntN(len(members))], stopped
			if rng.IntN(5) == 0 {
				test.Outcome, test.Seconds = None, 0
			}
			if _, err := g.insertTest(ctx, q, test.filled(), fromFile); err != nil {
				return err
			}
			k := test.Combination.key()
			if tallies[k] == 0 && n < askedAbout {
				asked = append(asked, test.Combination)
			}
			if tallies[k] == 0 {
				if err := g.tally(ctx, q, test, 0); err != nil { // begins the row
					return err
				}
			}
			tallies[k]++
		}
		for k, n := range tallies {
			if err := g.tally(ctx, q, BenchTest{Combination: Combination{Product: Product{ID: k.product}, Instrument: Instrument{ID: k.instrument}, Syringe: Syringe{ID: k.syringe}}}, n); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	return g, asked
}

func fillLists(b *testing.B, ctx context.Context, g *Group, q querier) (products []Product, instruments []Instrument, members []Member) {
	classes := calc.GelClasses()
	for n := range manyProducts {
		p := Product{Name: fmt.Sprintf("Gel %04d", n), Class: classes[n%len(classes)], Aliases: []string{fmt.Sprintf("g%d", n)}}
		products = append(products, must(g.addProduct(ctx, q, p))(b))
	}
	for _, i := range []Instrument{needle(27, 13), needle(27, 19), needle(30, 13), needle(30, 8), needle(31, 8), needle(29, 13)} {
		instruments = append(instruments, must(g.addInstrument(ctx, q, i))(b))
	}
	for n := range 300 {
		m := must(g.admit(ctx, q, Member{Ref: fmt.Sprintf("member %d", n)}))(b)
		members = append(members, m)
		for k := range 10 {
			item := StockItem{Member: m, Combination: Combination{Product: products[(n*k)%manyProducts]}, StockedOn: "2026-01-01"}
			if _, _, err := g.addStock(ctx, q, item); err != nil {
				b.Fatal(err)
			}
		}
	}
	return products, instruments, members
}

// BenchmarkEvidenceWarm is a question about a combination whose product has been
// asked about before: vocabulary and evidence, in a community of 2 000 products
// and 100 000 tests.
func BenchmarkEvidenceWarm(b *testing.B) {
	g, asked := largeCommunity(b)
	ctx := b.Context()
	for _, c := range asked {
		must(g.Evidence(ctx, c, 0))(b)
	}
	n := 0
	for b.Loop() {
		if _, err := g.Vocabulary(ctx); err != nil {
			b.Fatal(err)
		}
		e, err := g.Evidence(ctx, asked[n%len(asked)], 0)
		if err != nil || !e.Tested || len(e.Nearest) == 0 {
			b.Fatal(e, err)
		}
		n++
	}
}

// BenchmarkEvidenceUntestedWarm is the same for an instrument nobody used with
// the product, so that neighbours are looked for as well.
func BenchmarkEvidenceUntestedWarm(b *testing.B) {
	g, asked := largeCommunity(b)
	ctx := b.Context()
	for i := range asked {
		asked[i].Instrument = needle(29, 13)
		must(g.Evidence(ctx, asked[i], 0))(b)
	}
	n := 0
	for b.Loop() {
		e, err := g.Evidence(ctx, asked[n%len(asked)], 0)
		if err != nil || e.Tested || len(e.Nearest) == 0 {
			b.Fatal(e, err)
		}
		n++
	}
}

// BenchmarkPointQuery is the least a question to the store can cost: one row by
// its key, through the same helpers.
func BenchmarkPointQuery(b *testing.B) {
	g, asked := largeCommunity(b)
	ctx := b.Context()
	q := g.store.look()
	n := 0
	for b.Loop() {
		var version int64
		err := q.row(ctx, `SELECT log_version FROM products WHERE id = ?`, asked[n%len(asked)].Product.ID).Scan(&version)
		if err != nil {
			b.Fatal(err)
		}
		n++
	}
}

// BenchmarkLogTest is a test logged at the bench: stored on disk, and the
// estimate of its product, with some fifty tests, computed anew.
func BenchmarkLogTest(b *testing.B) {
	g, asked := largeCommunity(b)
	for b.Loop() {
		test := shown(5)
		test.Combination, test.Tester = asked[0], Member{Ref: "member 1"}
		if _, err := g.LogTest(b.Context(), test); err != nil {
			b.Fatal(err)
		}
	}
}
