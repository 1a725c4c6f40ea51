package commands

import "testing"

func TestRangeWords(t *testing.T) {
	if got := rangeWords(0.6, 0.98); got != " (6 in 10 to more than 19 in 20)" {
		t.Error(got)
	}
	if got := rangeWords(0.981, 0.99); got != "" {
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
	if got := listWords([]string{"a", "b", "c"}) + "; " + listWords([]string{"a"}) + "; " +
		listWords(nil); got != "a, b or c; a; " {
		t.Error(got)
	}
}
