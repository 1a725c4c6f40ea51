package knowledge

import (
	"fmt"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// programs are several programs on one store, each with what it has open of the
// community "local", and one clock.
func programs(t *testing.T, n int) (all []*Group, now *clock) {
	t.Helper()
	now = &clock{now: stopped}
	address := at(t, filepath.Join(t.TempDir(), "bench.db"))
	for i := range n {
		s := must(Open(t.Context(), address, WithClock(now.read), WithPatience(time.Hour)))(t)
		t.Cleanup(func() {
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
		if i == 0 {
			small(t, s, "local")
		}
		all = append(all, must(s.Group(t.Context(), "local"))(t))
	}
	return all, now
}

// atOnce has every program do something at the same moment.
func atOnce(all []*Group, do func(i int, g *Group)) {
	var ready, group sync.WaitGroup
	start := make(chan struct{})
	for i, g := range all {
		ready.Add(1)
		group.Go(func() { ready.Done(); <-start; do(i, g) })
	}
	ready.Wait()
	close(start)
	group.Wait()
}

func TestOfManyProgramsOneClaimsANotice(t *testing.T) {
	t.Parallel()
	all, now := programs(t, 4)
	ctx := t.Context()
	for round := range 25 {
		key := fmt.Sprintf("round %d", round)
		for attempt := 1; attempt <= 3; attempt++ { // nobody completes it: it is claimed anew
			var won atomic.Int32
			atOnce(all, func(_ int, g *Group) {
				n, mine, err := g.ClaimNotice(ctx, BoxProposed, key)
				if err != nil {
					t.Error(err)
				}
				if mine {
					won.Add(1)
					if n.Attempt != attempt {
						t.Errorf("%s: attempt %d, want %d", key, n.Attempt, attempt)
					}
				}
			})
			if won.Load() != 1 {
				t.Errorf("%s, attempt %d: claimed by %d programs", key, attempt, won.Load())
			}
			now.set(now.read().Add(noticeLease + time.Second))
		}
	}
	for round := range 10 {
		night := fmt.Sprintf("2026-11-%02d", round+1)
		var won atomic.Int32
		atOnce(all, func(_ int, g *Group) {
			mine, err := g.store.ClaimBackup(ctx, night)
			if err != nil {
				t.Error(err)
			}
			if mine {
				won.Add(1)
			}
		})
		if won.Load() != 1 {
			t.Errorf("the backup of %s was claimed by %d programs", night, won.Load())
		}
	}
}

func TestManyProgramsLogAndAskOfOneLog(t *testing.T) {
	t.Parallel()
	const rounds = 12
	all, _ := programs(t, 4)
	ctx := t.Context()
	for round := range rounds {
		atOnce(all, func(i int, g *Group) {
			test := shown(2 + float64(round))
			test.RequestKey = fmt.Sprintf("round %d", round) // the same from two programs each
			if i%2 == 1 {
				test.RequestKey += " again"
				test.Combination.Instrument = needle(29, float64(4+round)) // new to all
			}
			logged, err := g.LogTest(ctx, test)
			if err != nil {
				t.Error(err)
				return
			}
			if e, err := g.Evidence(ctx, logged.Combination, 0); err != nil || e.Tests.Len() == 0 {
				t.Errorf("%d tests, %v", e.Tests.Len(), err)
			}
		})
	}
	want := ""
	for i, g := range all {
		if n := len(must(g.Tests(ctx, TestFilter{}))(t)); n != 2*rounds {
			t.Errorf("program %d sees %d tests, want %d", i, n, 2*rounds)
		}
		e := must(g.Evidence(ctx, orrickOn27(), 0))(t)
		if e.Counts.Run != rounds || asShown(e) != fromScratch(t, g, e) {
			t.Errorf("program %d counts %d tests, %s", i, e.Counts.Run, asShown(e))
		}
		if want == "" {
			want = asShown(e)
		} else if asShown(e) != want {
			t.Errorf("program %d answers %s, the first %s", i, asShown(e), want)
		}
		if n := len(must(g.Vocabulary(ctx))(t).Instruments); n != 2+rounds {
			t.Errorf("program %d knows %d instruments, want %d", i, n, 2+rounds)
		}
	}
}

// A name that one program gives is known to the others at their next question.
func TestWhatOneProgramRenamesTheOthersKnow(t *testing.T) {
	t.Parallel()
	all, _ := programs(t, 3)
	ctx := t.Context()
	for i, g := range all {
		must(g.LogTest(ctx, shown(float64(i+2))))(t)
		must(g.Evidence(ctx, orrickOn27(), 0))(t) // now in the memory of each
	}
	product := must(all[0].Product(ctx, "Orrick Mid"))(t)
	lantern := must(all[0].Member(ctx, "lantern"))(t)
	must(all[0].RenameProduct(ctx, product.ID, "Tamsel Mid", lantern, "as on the box"))(t)
	if err := all[1].UpdateSettings(ctx, func(to *Settings) error { to.Ceiling = 3; return nil }); err != nil {
		t.Fatal(err)
	}
	renamed := orrickOn27()
	renamed.Product.Name = "Tamsel Mid"
	for i, g := range all {
		if e := must(g.Evidence(ctx, renamed, 0))(t); e.Counts.Run != len(all) || e.Ceiling != 3 ||
			e.Combination.Product.Name != "Tamsel Mid" {
			t.Errorf("program %d: %d tests, ceiling %v, %s", i, e.Counts.Run, e.Ceiling, e.Combination)
		}
	}
}
