package say

import (
	"strings"
	"testing"
)

// A short reply has at most twenty words; what is said of a state is the method page's sentence.
func TestEveryWordOnACardHasAShortMeaning(t *testing.T) {
	for _, s := range Standings() {
		if Meaning(s.Short) == "" {
			t.Errorf("nothing is said of %q", s.Short)
		}
	}
	for word, text := range meanings {
		if n := len(strings.Fields(text)); n > 20 {
			t.Errorf("%s: %d words", word, n)
		}
	}
	for other, usual := range alsoCalled {
		if Meaning(other) == "" || Meaning(other) != Meaning(usual) {
			t.Errorf("%q is not %q: %q", other, usual, Meaning(other))
		}
	}
	if text := Meaning("orrick mid"); text != "" {
		t.Errorf("a gel is explained: %q", text)
	}
}
