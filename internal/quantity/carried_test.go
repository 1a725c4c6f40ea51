package quantity

import "testing"

// A step is a digit, or a half, that is no coarser than how far the time can be off;
// what can be off by less than a thousandth is told in thousandths.
func TestATimeIsToldToTheLastDigitThatItsTimingCarries(t *testing.T) {
	for _, c := range []struct{ seconds, within, want float64 }{
		{3.437, 0.5, 3.5}, {3.2, 0.5, 3}, {3.25, 0.5, 3.5}, {29.9, 1, 30}, {3.437, 0.7, 3.5},
		{7.13, 0.3, 7.1}, {7.15, 0.1, 7.2}, // halves go away from zero
		{7.137, 1.0 / 30, 7.14}, {7.1376, 1.0 / 240, 7.138}, {7.13764, 1.0 / 2000, 7.138},
		{5, 1.0 / 30, 5}, {0, 0.5, 0},
	} {
		if got := Carried(c.seconds, c.within); got != c.want {
			t.Errorf("%g s that can be off by %g s: %g, want %g", c.seconds, c.within, got, c.want)
		}
	}
}
