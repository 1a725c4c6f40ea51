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
		{0, "none"}, {0.0049, "none"}, {0.005, "hardly any"}, {0.049, "hardly any"},
		{0.05, "1 in 10"}, {0.149, "1 in 10"}, {0.15, "2 in 10"}, {0.44, "4 in 10"},
		{0.45, "about half"}, {0.5, "about half"}, {0.549, "about half"}, {0.55, "6 in 10"},
		{0.8, "8 in 10"}, {0.9, "9 in 10"}, {0.92, "9 in 10"}, {0.93, "all but a few"},
		{0.97, "all but a few"}, {0.98, "nearly all"}, {1, "nearly all"},
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
	order := []string{"none", "hardly any", "1 in 10", "2 in 10", "3 in 10", "4 in 10", "about half", "6 in 10", "7 in 10", "8 in 10", "9 in 10", "all but a few", "nearly all"}
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

func TestCountAndNumber(t *testing.T) {
	if got := Count(1, "test") + ", " + Count(0, "member") + ", " + Number(0.30) + ", " + Number(2); got != "1 test, 0 members, 0.3, 2" {
		t.Error(got)
	}
}
