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
func demoFile(t testing.TB, name string) []byte {
	t.Helper()
	return must(os.ReadFile(filepath.Join("..", "..", "config", "demo", name+".csv")))(t)
}

type imports map[string]func(context.Context, *bytes.Reader) (ImportReport, error)

// importing has the import methods by the name of their demo file.
func (g *Group) importing(skipBad bool) imports {
	return imports{
		"products": func(c context.Context, r *bytes.Reader) (ImportReport,
			error) {
			return g.ImportProducts(c, r, skipBad)
		},
		"instruments": func(c context.Context, r *bytes.Reader) (ImportReport, error) {
			return g.ImportInstruments(c, r, skipBad)
		},
		"members": func(c context.Context, r *bytes.Reader) (ImportReport,
			error) {
			return g.ImportMembers(c, r, skipBad)
		},
		"syringes": func(c context.Context, r *bytes.Reader) (ImportReport, error) {
			return g.ImportSyringes(c, r, skipBad)
		},
		"stock": func(c context.Context, r *bytes.Reader) (ImportReport,
			error) {
			return g.ImportStock(c, r, skipBad)
		},
		"tests": func(c context.Context, r *bytes.Reader) (ImportReport,
			error) {
			return g.ImportTests(c, r, skipBad)
		},
	}
}

// demoFiles in the order they build on each other.
var demoFiles = []string{"products", "instruments", "members", "stock", "tests"}

// demo founds a community with the demo's files in it, as many of them as named. Estimates are left to who asks for one.
func demo(t testing.TB, s *Store, ref string, files ...string) *Group {
	t.Helper()
	g := found(t, s, ref)
	if files == nil {
		files = demoFiles
	}
	for _, name := range files {
		bring := g.importing(false)[name]
		if name == "tests" {
			bring = func(ctx context.Context, r *bytes.Reader) (ImportReport, error) {
				return g.ImportTestsUnestimated(ctx, r, false)
			}
		}
		report := must(bring(t.Context(), bytes.NewReader(demoFile(t, name))))(t)
		if len(report.Faults) > 0 {
			t.Fatalf("%s: %v", name, report.Faults)
		}
	}
	return g
}

// estimatedDemo is demo with an estimate of each product.
func estimatedDemo(t testing.TB, s *Store, ref string) *Group {
	t.Helper()
	g := demo(t, s, ref, demoFiles[:len(demoFiles)-1]...)
	if r := must(g.ImportTests(t.Context(), bytes.NewReader(demoFile(t, "tests")), false))(t); len(r.Faults) > 0 {
		t.Fatal(r.Faults)
	}
	return g
}

// export returns what the export method of a kind of file writes.
func (g *Group) export(t testing.TB, name string) string {
	t.Helper()
	var out bytes.Buffer
	var err error
	switch name {
	case "products":
		err = g.ExportProducts(t.Context(), &out)
	case "instruments":
		err = g.ExportInstruments(t.Context(), &out)
	case "members":
		err = g.ExportMembers(t.Context(), &out)
	case "syringes":
		err = g.ExportSyringes(t.Context(), &out)
	case "stock":
		err = g.ExportStock(t.Context(), &out)
	case "tests":
		err = g.ExportTests(t.Context(), &out)
	case "history":
		err = g.ExportHistory(t.Context(), &out)
	}
	if err != nil {
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
