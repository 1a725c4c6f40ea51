package knowledge

import "testing"

func TestNamesFoldLetterCaseSpacingAndForm(t *testing.T) {
	for _, same := range [][]string{
		{"Orrick Mid", "orrick  mid", "ORRICKMID", " Orrick\u00a0Mid "},
		{"Hesk Paste 1:1", "hesk paste1:1"},
		{"Ménard", "Me\u0301nard", "MÉNARD"},
		{"Ｆine", "fine"},
	} {
		for _, name := range same[1:] {
			if fold(name) != fold(same[0]) {
				t.Errorf("%q and %q are two names", name, same[0])
			}
		}
	}
	if fold("Orrick Mid") == fold("Orrick Mod") {
		t.Error("two names are one")
	}
}

func TestNumbersAreReadPlainlyOrNotAtAll(t *testing.T) {
	for text, want := range map[string]float64{"5": 5, "5.70": 5.7, "5,7": 5.7, ".5": 0.5, "0.00": 0, " 12 ": 12} {
		if got, err := readNumber("x", text); err != nil || got != want {
			t.Errorf("%q = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", ".", "-1", "+1", "1e3", "NaN", "Inf", "0x1p4", "1_000", "1.2.3", "1,2,3", "five",
		"1 2", "٣", "123456789012345678901234567890"} {
		if got, err := readNumber("x", text); err == nil {
			t.Errorf("%q was read as %v", text, got)
		}
	}
}
