package commands

import (
	"slices"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
)

// What a question may say must be what the model can compute: the ends of the
// gauges that are read are those that have a bore on record.
func TestGaugesReadAreThoseWithABore(t *testing.T) {
	gauges := calc.Gauges()
	if widest, finest := slices.Min(gauges), slices.Max(gauges); widest != question.WidestGauge ||
		finest != question.FinestGauge {
		t.Errorf("read %dG to %dG, bores on record from %dG to %dG", question.WidestGauge, question.FinestGauge, widest,
			finest)
	}
}
