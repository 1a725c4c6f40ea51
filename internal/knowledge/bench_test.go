package knowledge

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// The size of the community that the benchmarks ask.
const (
	manyProducts = 2_000
	manyTests    = 100_000
	askedAbout   = 20 // products whose estimates are computed
)

// largeCommunity fills a store with made-up tests. They are drawn with a fixed
// seed and are nobody's; estimates are computed only for the products asked about.
func largeCommunity(b *testing.B) (*Group, []trade.Combination) {
	b.Helper()
	s := openStore(b)
	g := found(b, s, "large")
	ctx := b.Context()
	var asked []trade.Combination
	err := s.inTx(ctx, func(q querier) error {
		products, instruments, members := fillLists(b, ctx, g, q)
		supplied := must(g.vocabulary(ctx, q))(b).Syringes[0]
		rng := rand.New(rand.NewPCG(1, 2))
		tallies := make(map[combinationKey]int)
		for n := range manyTests {
			test := shown(float64(1+rng.IntN(2900)) / 100)
			test.Combination = trade.Combination{Product: products[n%manyProducts],
				Instrument: instruments[rng.IntN(5)], Syringe: supplied}
			test.Tester, test.LoggedAt = members[rng.IntN(len(members))], stopped
			if rng.IntN(5) == 0 {
				test.Outcome, test.Seconds = None, 0
			}
			if _, err := g.insertTest(ctx, q, test.filled()); err != nil {
				return err
			}
			k := keyOf(test.Combination)
			if tallies[k] == 0 && n < askedAbout {
				asked = append(asked, test.Combination)
			}
			if tallies[k] == 0 {
				if _, err := g.tally(ctx, q, test, 0); err != nil { // begins the row
					return err
				}
			}
			tallies[k]++
		}
		for k, n := range tallies {
			if _, err := g.tally(ctx, q, BenchTest{Combination: trade.Combination{Product: trade.Product{ID: k.product},
				Instrument: trade.Instrument{ID: k.instrument}, Syringe: trade.Syringe{ID: k.syringe}}},
				n); err != nil {
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

func fillLists(b *testing.B, ctx context.Context, g *Group, q querier) (products []trade.Product,
	instruments []trade.Instrument, members []Member) {
	classes := calc.GelClasses()
	for n := range manyProducts {
		p := trade.Product{Name: fmt.Sprintf("Gel %04d", n), Class: classes[n%len(classes)],
			Aliases: []string{fmt.Sprintf("g%d", n)}}
		products = append(products, must(g.addProduct(ctx, q, p))(b))
	}
	for _, i := range []trade.Instrument{needle(27, 13), needle(27, 19), needle(30, 13), needle(30, 8), needle(31, 8),
		needle(29, 13)} {
		instruments = append(instruments, must(g.addInstrument(ctx, q, i))(b))
	}
	for n := range 300 {
		m := must(g.admit(ctx, q, Member{Ref: fmt.Sprintf("member %d", n)}))(b)
		members = append(members, m)
		for k := range 10 {
			item := StockItem{Member: m, Combination: trade.Combination{Product: products[(n*k)%manyProducts]},
				StockedOn: "2026-01-01"}
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
		err := q.Row(ctx, `SELECT log_version FROM products WHERE id = ?`, asked[n%len(asked)].Product.ID).Scan(&version)
		if err != nil {
			b.Fatal(err)
		}
		n++
	}
}

// BenchmarkLogTest is a test logged at the bench, to products with so many tests
// each: what is stored before it is confirmed, and the whole with the estimate that
// the confirmation tells of. Between them stands a bare durable commit: one row, in
// a file of its own on the same disk, with the same pragmas. They take turns, so
// that other work on the machine slows them alike; told are the medians.
func BenchmarkLogTest(b *testing.B) {
	for _, tests := range []int{10, 50} {
		b.Run(fmt.Sprintf("%d-tests", tests), func(b *testing.B) { logging(b, tests) })
	}
}

func logging(b *testing.B, tests int) {
	b.Helper()
	s := openStore(b)
	g := small(b, s, "logging")
	const products = 50
	nth := func(n int) BenchTest {
		test := shown(float64(1 + n%13))
		test.Combination.Product.Name = fmt.Sprintf("Gel %02d", n%products)
		return test
	}
	stored := func(test BenchTest) error {
		return s.inTx(b.Context(), func(q querier) error { _, err := g.logTest(b.Context(), q, test); return err })
	}
	for n := range products {
		must(g.AddProduct(b.Context(), trade.Product{Name: nth(n).Combination.Product.Name, Class: calc.MediumHA}))(b)
	}
	for n := range products * tests {
		if err := stored(nth(n)); err != nil {
			b.Fatal(err)
		}
	}
	must(g.Vocabulary(b.Context()))(b) // as whoever reads what was typed has done
	bare := bareCommit(b)
	took := map[string][]float64{}
	n := 0
	for b.Loop() {
		for what, do := range map[string]func() error{
			"bare": bare, "stored": func() error { return stored(nth(n)) },
			"whole": func() error { _, err := g.LogTest(b.Context(), nth(n)); return err },
		} {
			began := time.Now()
			if err := do(); err != nil {
				b.Fatal(err)
			}
			took[what] = append(took[what], time.Since(began).Seconds()*1000)
		}
		n++
	}
	median := func(what string) float64 { slices.Sort(took[what]); return took[what][len(took[what])/2] }
	b.ReportMetric(median("bare"), "bare-ms")
	b.ReportMetric(median("stored"), "stored-ms")
	b.ReportMetric(median("whole"), "whole-ms")
	b.ReportMetric(median("stored")/median("bare"), "stored/bare")
	b.ReportMetric(median("whole")/median("bare"), "whole/bare")
}

// bareCommit commits one row.
func bareCommit(b *testing.B) func() error {
	db := must(sql.Open("sqlite3",
		"file:"+filepath.Join(b.TempDir(), "bare.db")+"?_journal_mode=WAL&_synchronous=FULL&_txlock=immediate&_secure_delete=on"))(b)
	b.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1)
	must(db.Exec(`CREATE TABLE rows (id INTEGER PRIMARY KEY, text TEXT)`))(b)
	return func() error {
		_, err := db.Exec(`INSERT INTO rows (text) VALUES ('one bench test or so: Orrick Mid, 27G 13 mm needle, 7.13 s')`)
		return err
	}
}
