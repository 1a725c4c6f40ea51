package quantity

import (
	"regexp"
	"strings"
	"testing"
)

func TestPatternsOfUnitsAreWordsOfTheList(t *testing.T) {
	for unit, c := range map[Unit]struct{ pattern, words string }{
		Second: {SecondUnit, "s sec secs second seconds sek"},
		Minute: {MinuteUnit, "min mins minute minutes"},
		ML:     {VolumeUnit, "ml mls cc ccs cm3 millilitre millilitres milliliter milliliters"},
	} {
		for _, w := range strings.Fields(c.words) {
			if UnitOf(w) != unit || !regexp.MustCompile(`^`+c.pattern+`$`).MatchString(w) {
				t.Errorf("%q is unit %d, want %d, in the pattern too", w, UnitOf(w), unit)
			}
		}
	}
	for w, want := range map[string]Unit{"": NoUnit, "orrick": NoUnit, "ul": Microlitre, "gague": Gauge,
		"units": Insulin, "yr": Other, "gauge": Gauge} {
		if got := UnitOf(w); got != want {
			t.Errorf("%q is unit %d, want %d", w, got, want)
		}
	}
}
