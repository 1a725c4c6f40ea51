package question

import (
	"slices"
	"testing"
)

func TestWhatNothingWasMadeOfIsLeftOver(t *testing.T) {
	ix := demoIndex()
	for text, want := range map[string][]string{
		"orrick mid 27g 13mm":                     nil,
		"orrick mid 27g 13mm 37c":                 {"37c"},
		"tamsel soft 30g 13 4.2":                  {"4.2"},
		"orrick mid 27g 13mm 2.1 at 36":           {"2.1", "36"},
		"orrick mid 27g 13mm 0.05 ml":             {"0.05 ml"},
		"orrick mid 27g 13mm 1ml syringe":         {"1ml"},
		"0.1 ml of larnoch hydra, 30g 4mm, hold?": nil,
		"orrick mid 27g 13mm pull 0.2 ml slow":    {"pull", "slow"},
	} {
		if got := ix.Read(text).Rest; !slices.Equal(got, want) {
			t.Errorf("%q leaves %q, want %q", text, got, want)
		}
	}
}
