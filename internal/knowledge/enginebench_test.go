package knowledge

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/database/databasetest"
	"holdbench/internal/trade"
)

// onEach runs a benchmark with the log in a file, and on the server for tests where
// there is one. To measure, it is to be durable: DURABLE=1 .ci/postgres.
func onEach(b *testing.B, run func(b *testing.B, address string)) {
	b.Run("file", func(b *testing.B) { run(b, filepath.Join(b.TempDir(), "bench.db")) })
	if databasetest.OnPostgres() {
		b.Run("server", func(b *testing.B) { run(b, databasetest.For(b, b.TempDir(), "template0")) })
	}
}

// benchProducts are so many gels of a community, each tested alike often.
const benchProducts = 20

func benchTest(n int) BenchTest {
	test := shown(float64(1 + n%13))
	test.Combination.Product.Name = fmt.Sprintf("Gel %02d", n%benchProducts)
	return test
}

// furnished opens a store with communities that have gels, and no tests yet.
func furnished(b *testing.B, address string, communities int) (s *Store, groups []*Group) {
	b.Helper()
	s = openAddress(b, address)
	for n := range communities {
		g := small(b, s, fmt.Sprint("bench ", n))
		for p := range benchProducts {
			must(g.AddProduct(b.Context(), trade.Product{Name: benchTest(p).Combination.Product.Name,
				Class: calc.MediumHA}))(b)
		}
		groups = append(groups, g)
	}
	return s, groups
}

// BenchmarkStoreLogTest is a test logged: what the engine has to do before it is
// confirmed, without the estimate, which is the same for both. Beside it stands the
// least that a durable commit costs there, one row changed. They take turns.
func BenchmarkStoreLogTest(b *testing.B) {
	onEach(b, func(b *testing.B, address string) {
		s, groups := furnished(b, address, 1)
		ctx, g := b.Context(), groups[0]
		q := unchecked(s)
		var bare, stored []float64
		for n := 0; b.Loop(); n++ {
			began := time.Now()
			if _, err := q.Exec(ctx, `UPDATE members SET name = ? WHERE ref = 'osier'`, fmt.Sprint("Osier ", n)); err != nil {
				b.Fatal(err)
			}
			bare = append(bare, time.Since(began).Seconds()*1000)
			began = time.Now()
			err := g.store.inTx(ctx, func(q querier) error { _, err := g.logTest(ctx, q, benchTest(n)); return err })
			if err != nil {
				b.Fatal(err)
			}
			stored = append(stored, time.Since(began).Seconds()*1000)
		}
		slices.Sort(bare)
		slices.Sort(stored)
		b.ReportMetric(bare[len(bare)/2], "bare-ms")
		b.ReportMetric(stored[len(stored)/2], "stored-ms")
		b.ReportMetric(stored[len(stored)*99/100], "stored-p99-ms")
	})
}

// BenchmarkStoreFourLogAtOnce are four programs that log without a pause, into one
// community or each into its own: the time from one stored test to the next, of all.
func BenchmarkStoreFourLogAtOnce(b *testing.B) {
	const programs = 4
	for _, communities := range []int{1, programs} {
		b.Run(fmt.Sprintf("communities=%d", communities), func(b *testing.B) {
			onEach(b, func(b *testing.B, address string) {
				_, groups := furnished(b, address, communities)
				var own []*Group
				for n := range programs {
					s := openAddress(b, address)
					own = append(own, must(s.Group(b.Context(), groups[n%communities].Ref()))(b))
				}
				b.ResetTimer()
				var all sync.WaitGroup
				for n, g := range own {
					all.Go(func() {
						for i := n; i < b.N; i += programs {
							if err := g.store.inTx(b.Context(),
								func(q querier) error { _, err := g.logTest(b.Context(), q, benchTest(i)); return err }); err != nil {
								b.Error(err)
								return
							}
						}
					})
				}
				all.Wait()
			})
		})
	}
}

// BenchmarkStoreQuestion is a warm question, vocabulary and evidence, in a community
// that has grown: fifty tests a gel, on both engines the same.
func BenchmarkStoreQuestion(b *testing.B) {
	for _, tests := range []int{1_000, 10_000, 100_000} {
		b.Run(fmt.Sprintf("tests=%d", tests), func(b *testing.B) {
			grown, combinations := grownFile(b, tests)
			onEach(b, func(b *testing.B, address string) {
				from, s := openAddress(b, grown), openAddress(b, address)
				must(Copy(b.Context(), from, s))(b)
				askWarm(b, must(s.Group(b.Context(), "grown"))(b), combinations)
			})
		})
	}
}

func askWarm(b *testing.B, g *Group, combinations []trade.Combination) {
	b.Helper()
	ask := func(c trade.Combination) {
		must(g.Vocabulary(b.Context()))(b)
		if e := must(g.Evidence(b.Context(), c, 0))(b); !e.Tested {
			b.Fatalf("%s is not tested", c)
		}
	}
	for _, c := range combinations {
		ask(c) // its estimate is made
	}
	var took []float64
	for n := 0; b.Loop(); n++ {
		began := time.Now()
		ask(combinations[n%len(combinations)])
		took = append(took, time.Since(began).Seconds()*1000)
	}
	slices.Sort(took)
	b.ReportMetric(took[len(took)/2], "p50-ms")
	b.ReportMetric(took[len(took)*99/100], "p99-ms")
}

// grownFile is a file with a community of so many tests, drawn with a fixed seed,
// and some combinations to ask about.
func grownFile(b *testing.B, tests int) (path string, asked []trade.Combination) {
	b.Helper()
	path = filepath.Join(b.TempDir(), "grown.db")
	s := must(Open(b.Context(), path, WithClock(stoppedClock)))(b)
	g := found(b, s, "grown")
	err := s.inTx(b.Context(), func(q querier) (err error) { asked, err = grow(b.Context(), g, q, tests); return err })
	if err != nil {
		b.Fatal(err)
	}
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
	return path, asked
}

func grow(ctx context.Context, g *Group, q querier, tests int) (asked []trade.Combination, err error) {
	var products []trade.Product
	for n := range tests / 50 {
		p, err := g.addProduct(ctx, q, trade.Product{Name: fmt.Sprintf("Gel %04d", n),
			Class: calc.GelClasses()[n%len(calc.GelClasses())]})
		if err != nil {
			return nil, err
		}
		products = append(products, p)
	}
	var instruments []trade.Instrument
	for _, i := range []trade.Instrument{needle(27, 13), needle(27, 19), needle(30, 13), needle(30, 8), needle(31, 8)} {
		if i, err = g.addInstrument(ctx, q, i); err != nil {
			return nil, err
		}
		instruments = append(instruments, i)
	}
	if _, err := g.admit(ctx, q, Member{Ref: "osier"}); err != nil {
		return nil, err
	}
	random := rand.New(rand.NewPCG(1, 2))
	for n := range tests {
		test := shown(float64(1+random.IntN(2900)) / 100)
		test.Combination = trade.Combination{Product: products[n%len(products)],
			Instrument: instruments[n/len(products)%len(instruments)]}
		if _, err := g.logTest(ctx, q, test); err != nil {
			return nil, err
		}
		if n < min(len(products), askedAbout) {
			asked = append(asked, test.Combination)
		}
	}
	return asked, nil
}
