package say

import (
	"math"
	"testing"
)

func TestShare(t *testing.T) {
	cases := []struct {
		share float64
		want  string
	}{
		{0, "fewer than 1 in 20"}, {0.0499, "fewer than 1 in 20"},
		{0.05, "1 in 10"}, {0.149, "1 in 10"}, {0.15, "2 in 10"}, {0.44, "4 in 10"},
		{0.45, "5 in 10"}, {0.5, "5 in 10"}, {0.549, "5 in 10"}, {0.55, "6 in 10"},
		{0.8, "8 in 10"}, {0.9, "9 in 10"}, {0.949, "9 in 10"},
		{0.95, "more than 19 in 20"}, {1, "more than 19 in 20"},
		{-0.1, "unknown"}, {1.1, "unknown"}, {math.NaN(), "unknown"},
	}
	for _, c := range cases {
		if got := Share(c.share); got != c.want {
			t.Errorf("Share(%g) = %q, want %q", c.share, got, c.want)
		}
	}
}

// A share is never said as more than it is by more than half a tenth, whatever
// the value: the words of a larger share never come before those of a smaller.
func TestSharesRise(t *testing.T) {
	order := []string{"fewer than 1 in 20", "1 in 10", "2 in 10", "3 in 10", "4 in 10", "5 in 10", "6 in 10", "7 in 10",
		"8 in 10", "9 in 10", "more than 19 in 20"}
	at := 0
	for i := 0; i <= 10000; i++ {
		word := Share(float64(i) / 10000)
		if word == order[at] {
			continue
		}
		at++
		if at == len(order) || word != order[at] {
			t.Fatalf("%q at %g", word, float64(i)/10000)
		}
	}
	if at != len(order)-1 {
		t.Errorf("%q never said", order[at+1])
	}
}

func TestTargetIsSaidAsItWasSet(t *testing.T) {
	for share, want := range map[float64]string{0.5: "5 in 10", 0.9: "9 in 10", 0.95: "95 in 100", 0.99: "99 in 100"} {
		if got := Target(share); got != want {
			t.Errorf("Target(%g) = %q, want %q", share, got, want)
		}
	}
}

func TestRangeSaysNothingOfANarrowOne(t *testing.T) {
	for limits, want := range map[[2]float64]string{{0.2, 0.9}: "2 in 10 to 9 in 10", {0.96, 1}: "",
		{0, 1}: "fewer than 1 in 20 to more than 19 in 20"} {
		if got := Range(limits[0], limits[1]); got != want {
			t.Errorf("Range(%v) = %q, want %q", limits, got, want)
		}
	}
}

func TestCountAndNumber(t *testing.T) {
	if got := Count(1, "test") + ", " + Count(0, "member") + ", " + Number(0.30) + ", " +
		Number(2); got != "1 test, 0 members, 0.3, 2" {
		t.Error(got)
	}
}
