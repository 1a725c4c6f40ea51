package spelling

import "testing"

func TestPlainDistancesCountSlips(t *testing.T) { // by hand: each edit is named
	for _, c := range []struct {
		a, b       string
		most, want int
	}{
		{"", "", 2, 0}, {"lip", "lip", 2, 0}, {"lip", "lips", 2, 1}, {"lpi", "lip", 2, 1}, {"größe", "grösse", 3, 2},
		{"kitten", "sitting", 3, 3}, {"kitten", "sitting", 2, 3}, {"a", "abcd", 2, 3}, {"ca", "abc", 3, 3},
	} {
		if got := Distance(c.a, c.b, c.most); got != c.want {
			t.Errorf("%q and %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
	long := make([]rune, 3*Longest)
	for i := range long {
		long[i] = rune('a' + i%26)
	}
	if got := Distance(string(long), string(long[1:]), 2); got != 1 {
		t.Errorf("a long word without its first letter: %d", got)
	}
}

func TestTypingSlipsCostLessThanOtherLetters(t *testing.T) {
	for _, c := range []struct {
		typed, want string
		cost        int
	}{
		{"orrick", "orrick", Exact}, {"lips", "lip", Plural}, {"orick", "orrick", SlipOnce}, {"orrrick", "orrick",
			SlipOnce}, {"orrcik", "orrick", SlipOnce},
		{"orrivk", "orrick", SlipOnce}, {"larnock", "larnoch", Odd}, {"orik", "orrick", TwoSlips}, {"mild",
			"mid", Odd}, {"nid", "mid", SlipOnce},
		{"quimbleton", "orrick", TooFar}, {"", "orrick", TooFar}, {"pellaw", "pellow", SlipOnce},
	} {
		if got := Cost(c.typed, c.want); got != c.cost {
			t.Errorf("Cost(%q, %q) = %d, want %d", c.typed, c.want, got, c.cost)
		}
	}
	if neighbours[keys{'a', 'a'}] || neighbours[keys{'q', 'p'}] || !neighbours[keys{'g', 'h'}] ||
		!neighbours[keys{'s', 'w'}] {
		t.Error("the keys are laid out wrong")
	}
}
