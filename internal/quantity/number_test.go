package quantity

import (
	"errors"
	"slices"
	"testing"
)

// The policy for numbers, once for the whole program. What each means is mental arithmetic.
func TestNumbersHaveOnePolicy(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
		ways []string // where it can be read in more than one way
	}{
		{"7", 7, nil}, {"7.13", 7.13, nil}, {"7,1", 7.1, nil}, {"7,13", 7.13, nil}, {".9", 0.9, nil}, {",9", 0.9, nil},
		{"0,900", 0.9, nil}, {"00,125", 0.125, nil}, {"1.300", 1.3, nil}, {"29.97", 29.97, nil},
		{"1.300,5", 1300.5, nil}, {"1,300.5", 1300.5, nil}, {"1.300.000,5", 1300000.5, nil},
		{"1,300", 0, []string{"1.300", "1300"}}, {"12,500", 0, []string{"12.500", "12500"}},
		{" 12 ", 12, nil}, {"007", 7, nil},
	} {
		got, err := Number(c.text)
		var p *Problem
		if errors.As(err, &p) != (c.ways != nil) || got != c.want || p != nil && !slices.Equal(p.Options, c.ways) {
			t.Errorf("%q = %v, %v; want %v, %q", c.text, got, err, c.want, c.ways)
		}
	}
	for _, text := range []string{"", ".", ",", "-1", "+1", "1e3", "1.2.3", "1,2,3", "1,300,000", "1,30.5", "13.00,5",
		"7 8",
		"7.", "7s", "five", "NaN", "Inf", "0x10", "1_000", "٣", "123456789012345678901"} {
		if got, err := Number(text); err == nil {
			t.Errorf("%q was read as %v", text, got)
		}
	}
}

func TestANumberThatLeadsATextEndsWhereItEnds(t *testing.T) {
	for text, want := range map[string]struct {
		v   float64
		end int
	}{
		"13mm": {13, 2}, "30g13": {30, 2}, ".5in": {0.5, 2}, "7,1 s": {7.1, 3}, "1.300,5 s": {1300.5, 7},
		"27.":  {27, 2},
		"27,x": {27, 2}, "mm": {0, 0}, "": {0, 0},
	} {
		if v, end, err := Lead(text); v != want.v || end != want.end || err != nil {
			t.Errorf("%q: %v up to %d, %v; want %v", text, v, end, err, want)
		}
	}
	for text, end := range map[string]int{"1.2.3 s": 5, "1e5mm": 3, "2e-3": 4, "1,300 s": 5} {
		if v, got, err := Lead(text); err == nil || got != end {
			t.Errorf("%q: %v up to %d", text, v, got)
		}
	}
}
