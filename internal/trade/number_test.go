package trade

import "testing"

func TestNumbersAreReadPlainlyOrNotAtAll(t *testing.T) {
	for text, want := range map[string]float64{"5": 5, "5.70": 5.7, "5,7": 5.7, ".5": 0.5, "0.00": 0, " 12 ": 12} {
		if got, err := ReadNumber("x", text); err != nil || got != want {
			t.Errorf("%q = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", ".", "-1", "+1", "1e3", "NaN", "Inf", "0x1p4", "1_000", "1.2.3", "1,2,3", "five",
		"1 2", "٣", "123456789012345678901234567890"} {
		if got, err := ReadNumber("x", text); err == nil {
			t.Errorf("%q was read as %v", text, got)
		}
	}
}
