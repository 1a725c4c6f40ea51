package commands

import (
	"math"
	"testing"
)

func TestShareWords(t *testing.T) {
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
		if got := shareWords(c.share); got != c.want {
			t.Errorf("shareWords(%g) = %q, want %q", c.share, got, c.want)
		}
	}
}

// A share is never said as more than it is by more than half a tenth, whatever
// the value: the words of a larger share never come before those of a smaller.
func TestShareWordsRise(t *testing.T) {
	order := []string{"none", "hardly any", "1 in 10", "2 in 10", "3 in 10", "4 in 10", "about half", "6 in 10", "7 in 10", "8 in 10", "9 in 10", "all but a few", "nearly all"}
	at := 0
	for i := 0; i <= 10000; i++ {
		word := shareWords(float64(i) / 10000)
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

func TestRangeWords(t *testing.T) {
	if got := rangeWords(0.6, 0.98); got != "range 6 in 10 to nearly all" {
		t.Error(got)
	}
	if got := rangeWords(0.981, 0.99); got != "narrow range" {
		t.Error(got)
	}
}

func TestSecondsWords(t *testing.T) {
	cases := []struct {
		seconds float64
		want    string
	}{{0.01, "0.1 s"}, {0.1, "0.1 s"}, {0.96, "1 s"}, {2.04, "2 s"}, {7.13, "7.1 s"}, {9.96, "10 s"}, {13.7, "14 s"}}
	for _, c := range cases {
		if got := secondsWords(c.seconds); got != c.want {
			t.Errorf("secondsWords(%g) = %q, want %q", c.seconds, got, c.want)
		}
	}
}

func TestCountAndList(t *testing.T) {
	if got := count(1, "test") + ", " + count(0, "member"); got != "1 test, 0 members" {
		t.Error(got)
	}
	if got := listWords([]string{"a", "b", "c"}) + "; " + listWords([]string{"a"}) + "; " + listWords(nil); got != "a, b or c; a; " {
		t.Error(got)
	}
}
