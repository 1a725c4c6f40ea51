package knowledge

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// stopped is the time of every test's clock.
var stopped = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func stoppedClock() time.Time { return stopped }

// openStore opens a new store.
func openStore(t testing.TB) *Store {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "bench.db"))
}

func openAt(t testing.TB, path string) *Store {
	t.Helper()
	return openAddress(t, at(t, path))
}

func found(t testing.TB, s *Store, ref string) *Group {
	t.Helper()
	g, err := s.Found(t.Context(), NewCommunity{Ref: ref, Name: "Circle " + ref})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// must returns v or ends the test.
func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// demoFile reads a file of the demo community.
func demoFile(t testing.TB, kind FileKind) []byte {
	t.Helper()
	return must(os.ReadFile(filepath.Join("..", "..", "config", "demo", string(kind)+".csv")))(t)
}

// demoFiles in the order they build on each other.
var demoFiles = []FileKind{ProductFile, InstrumentFile, MemberFile, StockFile, TestFile}

// demo founds a community with the demo's files in it, as many of them as named. Estimates are left to who asks for one.
func demo(t testing.TB, s *Store, ref string, files ...FileKind) *Group {
	t.Helper()
	g := found(t, s, ref)
	if files == nil {
		files = demoFiles
	}
	for _, kind := range files {
		report := must(g.Import(t.Context(), kind, RowsOf(bytes.NewReader(demoFile(t, kind))), Importing{Unestimated: true}))(t)
		if len(report.Faults) > 0 {
			t.Fatalf("%s: %v", kind, report.Faults)
		}
	}
	return g
}

// estimatedDemo is demo with an estimate of each product.
func estimatedDemo(t testing.TB, s *Store, ref string) *Group {
	t.Helper()
	g := demo(t, s, ref, demoFiles[:len(demoFiles)-1]...)
	if r := must(g.Import(t.Context(), TestFile, RowsOf(bytes.NewReader(demoFile(t, "tests"))), Importing{}))(t); len(r.Faults) > 0 {
		t.Fatal(r.Faults)
	}
	return g
}

// export returns a file of one kind.
func (g *Group) export(t testing.TB, kind FileKind) string {
	t.Helper()
	var out bytes.Buffer
	if err := g.Export(t.Context(), kind, &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// small founds a community with one product, two instruments and two members.
func small(t testing.TB, s *Store, ref string) *Group {
	t.Helper()
	g := found(t, s, ref)
	must(g.AddProduct(t.Context(), trade.Product{Name: "Orrick Mid", Class: calc.MediumHA,
		Aliases: []string{"o mid"}}))(t)
	must(g.AddInstrument(t.Context(), needle(27, 13)))(t)
	must(g.AddInstrument(t.Context(), needle(30, 13)))(t)
	must(g.Admit(t.Context(), Member{Ref: "osier"}))(t)
	must(g.Admit(t.Context(), Member{Ref: "lantern", Role: TrainerRole}))(t)
	return g
}

func needle(gauge int, mm float64) trade.Instrument {
	return trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: mm, Wall: calc.Thin}
}

// orrickOn27 is a combination of small by name.
func orrickOn27() trade.Combination {
	return trade.Combination{Product: trade.Product{Name: "orrick mid"}, Instrument: needle(27, 13)}
}

// shown is a test of orrickOn27 that a member of small could log.
func shown(seconds float64) BenchTest {
	return BenchTest{
		Combination: orrickOn27(), TestedOn: "2026-11-20", Tester: Member{Ref: "osier"},
		Liquid: "whole milk", LiquidC: 21, PullML: 0.1, WatchedS: 30,
		Outcome: Flashback, Seconds: seconds, Timing: "video 30 fps",
	}
}

// refused fails unless err is a *FieldError about that field.
func refused(t testing.TB, err error, field string) {
	t.Helper()
	var f *trade.FieldError
	if !errors.As(err, &f) || f.Field != field {
		t.Errorf("got %v, want %s refused", err, field)
	}
}

// uncheckedStore writes past the rules of the package, a transaction for each statement.
type uncheckedStore struct{ store *Store }

func unchecked(s *Store) uncheckedStore { return uncheckedStore{s} }

func (u uncheckedStore) Exec(ctx context.Context, query string, args ...any) (changed int64, err error) {
	err = u.store.inTx(ctx, func(q querier) error {
		changed, err = q.Exec(ctx, query, args...)
		return err
	})
	return changed, err
}

// near compares millilitres that went through cubic metres.
func near(a, b float64) bool { return a-b < 1e-12 && b-a < 1e-12 }
