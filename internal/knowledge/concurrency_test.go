package knowledge

import (
	"fmt"
	"sync"
	"testing"
)

func TestManyLogAndAskAtOnce(t *testing.T) {
	t.Parallel()
	const hands, each = 16, 4
	g := small(t, openStore(t), "local")
	var all sync.WaitGroup
	for hand := range hands {
		all.Go(func() {
			for n := range each {
				test := shown(2 + float64(hand)/10)
				test.RequestKey = fmt.Sprintf("%d-%d", hand, n)
				if hand%4 == 0 { // some use an instrument that is new to all
					test.Combination.Instrument = needle(29, 8)
				}
				logged, err := g.LogTest(t.Context(), test)
				if err != nil {
					t.Error(err)
					return
				}
				e, err := g.Evidence(t.Context(), logged.Combination, 0)
				if err != nil {
					t.Error(err)
					return
				}
				seen := false
				for test := range e.Tests.All() {
					seen = seen || test.ID == logged.ID
				}
				if !seen || e.Counts.Run != e.Tests.Len() {
					t.Errorf("asked after logging test %d: %d counted, seen %v", logged.ID, e.Counts.Run, seen)
				}
			}
		})
	}
	all.Wait()
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	if len(tests) != hands*each {
		t.Errorf("%d tests, want %d", len(tests), hands*each)
	}
	if n := len(must(g.Instruments(t.Context()))(t)); n != 3 {
		t.Errorf("%d instruments, want 3", n)
	}
	e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	if e.Counts.Run != hands*each*3/4 || asShown(e) != fromScratch(t, g, e) {
		t.Errorf("%d tests counted, %s", e.Counts.Run, asShown(e))
	}
}

func TestTheSameRequestManyTimesAtOnceIsOneTest(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	var all sync.WaitGroup
	ids := make([]int64, 16)
	for i := range ids {
		all.Go(func() {
			test := shown(2)
			test.RequestKey = "pressed sixteen times"
			logged, err := g.LogTest(t.Context(), test)
			if err != nil {
				t.Error(err)
			}
			ids[i] = logged.ID
		})
	}
	all.Wait()
	for _, id := range ids {
		if id != ids[0] || id == 0 {
			t.Fatalf("got tests %v", ids)
		}
	}
	if n := len(must(g.Tests(t.Context(), TestFilter{}))(t)); n != 1 {
		t.Errorf("%d tests", n)
	}
}
