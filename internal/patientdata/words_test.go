package patientdata

import (
	"slices"
	"testing"
)

// A word whose beginning is no plain letter would never be looked for.
func TestEveryWordHasABeginning(t *testing.T) {
	for name, table := range map[string]words{
		"birthTold": birthTold, "birthSign": birthSign, "bornTold": bornTold, "recordTold": recordTold,
		"holderTold": holderTold,
		"holderBare": holderBare, "phoneTold": phoneTold, "thing": thing, "counted": counted, "months": monthBegin,
		"spelt":     spelt,
		"titleTold": titleTold, "nobody": nobody, "patientBegin": patientBegin,
	} {
		if slices.Contains(table.begin.all, 0) {
			t.Errorf("%s has a word without a beginning", name)
		}
	}
	for i, table := range patientTold {
		if slices.Contains(table.begin.all, 0) {
			t.Errorf("patientTold %d has a word without a beginning", i)
		}
	}
}
