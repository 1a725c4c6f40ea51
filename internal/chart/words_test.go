package chart

import "testing"

func TestSecondsInWords(t *testing.T) {
	for s, want := range map[float64]string{0: "0 s", 0.03: "0.03 s", 0.333: "0.33 s", 8: "8 s", 13.7: "13.7 s",
		120: "120 s", 100.4: "100 s"} {
		if got := secondsWords(s); got != want {
			t.Errorf("secondsWords(%g) = %q, want %q", s, got, want)
		}
	}
}
