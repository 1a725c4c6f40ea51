package say

import (
	"math"
	"testing"
)

func TestChance(t *testing.T) {
	for _, c := range []struct {
		p    float64
		want string
	}{
		{1. / 200, "1 in 200"}, {5. / 9955, "1 in 1990"}, {1. / 208.3, "1 in 208"}, {1. / 20000, "1 in 20 000"},
		{1. / 1234567, "1 in 1 230 000"},
		{0.0999, "10 in 100"}, {0.0949, "1 in 11"}, {0.3, "30 in 100"}, {1, "100 in 100"},
		{0, "fewer than 1 in 1 000 000 000"},
		{-1, "unknown"}, {1.1, "unknown"}, {math.NaN(), "unknown"},
	} {
		if got := Chance(c.p); got != c.want {
			t.Errorf("Chance(%g) = %q, want %q", c.p, got, c.want)
		}
	}
}

func TestGrouped(t *testing.T) {
	for n, want := range map[int]string{0: "0", 999: "999", 9955: "9955", 10_000: "10 000", 100_000: "100 000",
		1_000_000: "1 000 000", -12_345: "-12 345", -999_999: "-999 999"} {
		if got := Grouped(n); got != want {
			t.Errorf("Grouped(%d) = %q, want %q", n, got, want)
		}
	}
}
