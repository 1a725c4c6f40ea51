package trade

import "testing"

func TestNamesFoldLetterCaseSpacingAndForm(t *testing.T) {
	for _, same := range [][]string{
		{"Orrick Mid", "orrick  mid", "ORRICKMID", " Orrick\u00a0Mid "},
		{"Hesk Paste 1:1", "hesk paste1:1"},
		{"Ménard", "Me\u0301nard", "MÉNARD"},
		{"Ｆine", "fine"},
	} {
		for _, name := range same[1:] {
			if Fold(name) != Fold(same[0]) {
				t.Errorf("%q and %q are two names", name, same[0])
			}
		}
	}
	if Fold("Orrick Mid") == Fold("Orrick Mod") {
		t.Error("two names are one")
	}
}
