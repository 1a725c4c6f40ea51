package chart

import "testing"

func TestSharesInWords(t *testing.T) {
	for share, want := range map[float64]string{
		0: "none", 0.0049: "none", 0.005: "hardly any", 0.0499: "hardly any", 0.05: "1 in 10", 0.2: "2 in 10", 0.449: "4 in 10",
		0.45: "about half", 0.549: "about half", 0.55: "6 in 10", 0.9: "9 in 10", 0.924: "9 in 10", 0.925: "all but a few", 0.975: "nearly all", 1: "nearly all",
	} {
		if got := shareWords(share); got != want {
			t.Errorf("shareWords(%g) = %q, want %q", share, got, want)
		}
	}
}

func TestSecondsInWords(t *testing.T) {
	for s, want := range map[float64]string{0: "0 s", 0.03: "0.03 s", 0.333: "0.33 s", 8: "8 s", 13.7: "13.7 s", 120: "120 s", 100.4: "100 s"} {
		if got := secondsWords(s); got != want {
			t.Errorf("secondsWords(%g) = %q, want %q", s, got, want)
		}
	}
}
