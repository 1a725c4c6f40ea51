package knowledge

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// described is all that a file says of the tests, but for the functions that work something out of it.
func (f *productFile) described() string {
	text := fmt.Sprintf("%+v %s, made by %v\n", f.versions(), f.class, f.hands)
	for _, one := range f.tested {
		text += fmt.Sprintf("%+v, looked at %t, flagged %+v\n", one.testedCombination, one.looked, one.flagged.all)
		for t := range one.list.All() {
			text += fmt.Sprintf("  %+v\n", t)
		}
	}
	return text
}

// weighedText is all that an estimate says of each tested combination by the file's tests.
func (f *productFile) weighedText(t *testing.T, rule calc.HoldRule) (text string) {
	for _, one := range f.tested {
		r := must(f.reading(question{one.setup, calc.DefaultPull, rule}))(t)
		w := must(r.weigh(f, keyOf(one.combination), rule))(t)
		counts := w.counts
		counts.Curve = nil // of the tests in described
		text += fmt.Sprintf("%s: %+v, %+v, %+v, curve %+v\n", one.combination, counts, w.advice,
			r.forecast.Share(rule.Ceiling), w.counts.Curve.Steps)
	}
	return text
}

// Whatever two programs log, withdraw, restore, correct, look at and add: what a program has in memory and makes longer
// is what a third reads whole from the store, and what it has weighed before is what is weighed anew.
func TestAFileThatGrowsIsTheOneReadWhole(t *testing.T) {
	all, _ := programs(t, 3)
	var held sync.Mutex // estimates wait while it is held: each would write slips
	for _, g := range all {
		g.store.fits.turn = func() { held.Lock(); defer held.Unlock() }
		g.store.fits.patience = 0
	}
	ctx, a, whole := t.Context(), all[0], all[2]
	rng := rand.New(rand.NewPCG(3, 7))
	for _, ref := range []string{"wren", "tern"} {
		must(a.Admit(ctx, Member{Ref: ref}))(t)
	}
	product := must(a.LogTest(ctx, shown(3)))(t).Combination.Product.ID
	trainer := Member{Ref: "osier"}
	var grown, steps, shared int
	round := func() {
		if err := a.EstimateMade(ctx, product); err != nil {
			t.Fatal(err)
		}
		held.Lock()
		defer held.Unlock()
		for range 1 + rng.IntN(3) {
			g := all[0]
			if rng.IntN(6) == 0 {
				g = all[1]
			}
			step(t, g, rng, trainer)
		}
		latest, there := a.store.files.Get(product)
		if !there {
			t.Fatal("nothing of the product is in memory")
		}
		rule := must(a.holdRule(ctx, a.store.look()))(t)
		latest.weighedText(t, rule)
		_, once, err := a.readProductFile(ctx, product, nil)
		if err != nil {
			t.Fatal(err)
		}
		if once != nil {
			once.weighedText(t, rule)
			step(t, a, rng, trainer)
		}
		got, before, err := a.readProductFile(ctx, product, once)
		want, _, err2 := whole.readProductFile(ctx, product, nil)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if got.described() != want.described() {
			t.Fatalf("made longer:\n%s\nread whole:\n%s", got.described(), want.described())
		}
		if before != nil {
			anew := got.withoutEstimate()
			anew.take(before.estimate)
			if kept, made := before.weighedText(t, rule), anew.weighedText(t, rule); kept != made {
				t.Fatalf("kept:\n%s\nweighed anew:\n%s", kept, made)
			}
			for _, one := range before.tested {
				if slices.Contains(latest.tested, one) && before.readings == latest.readings {
					shared++
				}
			}
		}
		if steps++; a.store.added.since(a.id, product, latest.logVersion, got.logVersion) != nil {
			grown++
		}
	}
	for range 40 {
		round()
	}
	if grown < steps/3 || grown == steps {
		t.Errorf("%d of %d files were made longer: both ways are to be met", grown, steps)
	}
	if shared == 0 {
		t.Error("no combination was left as it was, with what was said of it")
	}
}

// step changes something of the log at random, a test added most often.
func step(t *testing.T, g *Group, rng *rand.Rand, trainer Member) {
	t.Helper()
	ctx := t.Context()
	tests := must(g.Tests(ctx, TestFilter{}))(t)
	one := tests[rng.IntN(len(tests))]
	var err error
	switch n := rng.IntN(20); {
	case n == 0 && one.State == Kept:
		_, err = g.WithdrawTest(ctx, one.ID, trainer, "spilt")
	case n <= 1 && one.State == Withdrawn:
		_, err = g.RestoreTest(ctx, one.ID, trainer, "read again")
	case n == 2:
		_, err = g.AddInstrument(ctx, needle(28+rng.IntN(5), 4+float64(rng.IntN(20))))
	case n == 3:
		_, err = g.LookAtSetup(ctx, one.Combination, Member{Ref: "lantern"})
	default:
		added := shown(0.5 + 29*rng.Float64())
		added.TestedOn = fmt.Sprintf("2026-11-%02d", 1+rng.IntN(24))
		added.PullML = []float64{0.05, 0.1, 0.2}[rng.IntN(3)]
		added.Tester = Member{Ref: []string{"osier", "wren", "tern"}[rng.IntN(3)]}
		added.Combination.Instrument = []trade.Instrument{needle(27, 13), needle(30, 13), needle(30, 8)}[rng.IntN(3)]
		if rng.IntN(4) == 0 {
			added.Outcome, added.Seconds = None, 0
		}
		_, err = g.LogTest(ctx, added)
	}
	if err != nil && !errors.Is(err, ErrDuplicate) {
		t.Fatal(err)
	}
}

// Of an erased member or group nothing is kept that was logged.
func TestNothingErasedIsKeptAsAdded(t *testing.T) {
	s := openStore(t)
	g := small(t, s, "local")
	must(g.LogTest(t.Context(), shown(3)))(t)
	if len(s.added.last) != 1 {
		t.Fatalf("%d tests are kept as added, want 1", len(s.added.last))
	}
	must(g.EraseMember(t.Context(), Member{Ref: "osier"}))(t)
	if len(s.added.last) != 0 {
		t.Error("a test of an erased member is kept")
	}
	other := shown(4)
	other.Tester = Member{Ref: "lantern"}
	must(g.LogTest(t.Context(), other))(t)
	if err := g.Leave(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := s.erase(t.Context(), "local", time.Now().AddDate(1, 0, 0)); err != nil {
		t.Fatal(err)
	}
	if len(s.added.last) != 0 {
		t.Error("a test of an erased group is kept")
	}
}
