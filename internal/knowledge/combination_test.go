package knowledge

import (
	"testing"
)

func TestStockedAndTestedCombinationsAreListed(t *testing.T) {
	t.Parallel()
	g := demo(t, openStore(t), "demo")
	stocked := must(g.Stocked(t.Context()))(t)
	untested, sum := 0, 0
	for i, s := range stocked {
		sum += s.Holders
		if s.Tests == 0 {
			untested++
		}
		if i > 0 && s.Holders > stocked[i-1].Holders {
			t.Errorf("%s stands after one held by fewer", s.Combination)
		}
	}
	if sum != 95 || untested == 0 || untested == len(stocked) { // 95 lines of the demo's stock
		t.Errorf("%d holders, %d of %d untested", sum, untested, len(stocked))
	}
	total := 0
	for _, c := range must(g.Tested(t.Context()))(t) {
		total += c.Tests
		e := must(g.Evidence(t.Context(), c.Combination, 0))(t)
		if e.Counts.Run != c.Tests || e.Counts.Testers != c.Testers || !e.Tested {
			t.Errorf("%s: listed with %d tests by %d, counted %+v", c.Combination, c.Tests, c.Testers, e.Counts)
		}
	}
	if total != 144 {
		t.Errorf("%d tests, want the demo's 144", total)
	}
}
