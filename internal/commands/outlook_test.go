package commands

import (
	"runtime"
	"testing"
	"time"
	"weak"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// TestOutlooksHoldNoEstimate: what is kept of an answer must not keep the estimate
// it came from, or the store could drop none.
func TestOutlooksHoldNoEstimate(t *testing.T) {
	var kept outlooks
	forecast := func() weak.Pointer[calc.Forecast] {
		estimate, err := calc.Fit(calc.MediumHA, nil, calc.DefaultSpread())
		if err != nil {
			t.Fatal(err)
		}
		f, err := estimate.Forecast(calc.Setup{Tube: calc.Tube{Bore: 0.2 * calc.Millimetre, Length: 26 * calc.Millimetre}, Gas: 0.1 * calc.Millilitre}, calc.DefaultPull)
		if err != nil {
			t.Fatal(err)
		}
		e := &knowledge.Evidence{Forecast: f, Ceiling: 10, Target: 0.9}
		first := kept.of(e, 0)
		if again := kept.of(e, 0); again != first || len(kept.kept) != 1 {
			t.Errorf("worked out again: %+v, %+v", first, again)
		}
		return weak.Make(f)
	}()
	for end := time.Now().Add(10 * time.Second); forecast.Value() != nil; runtime.GC() {
		if time.Now().After(end) {
			t.Fatal("the forecast is still held")
		}
	}
	runtime.KeepAlive(&kept)
}

func TestOutlooksAreBounded(t *testing.T) {
	var kept outlooks
	estimate, err := calc.Fit(calc.MediumHA, nil, calc.DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	f, err := estimate.Forecast(calc.Setup{Tube: calc.Tube{Bore: 0.2 * calc.Millimetre, Length: 26 * calc.Millimetre}, Gas: 0.1 * calc.Millilitre}, calc.DefaultPull)
	if err != nil {
		t.Fatal(err)
	}
	kept.kept = map[outlookKey]outlook{}
	for n := range mostOutlooks {
		kept.kept[outlookKey{ceiling: calc.Seconds(n)}] = outlook{}
	}
	kept.of(&knowledge.Evidence{Forecast: f, Ceiling: 10, Target: 0.9}, 0)
	if len(kept.kept) > mostOutlooks {
		t.Errorf("%d are kept", len(kept.kept))
	}
}
