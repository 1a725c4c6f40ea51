package trade

import (
	"testing"

	"holdbench/internal/calc"
)

func TestInstrumentsAreNamedAsTheTradeDoes(t *testing.T) {
	for want, i := range map[string]Instrument{
		"30G 13 mm needle":                   {Kind: Needle, Gauge: 30, LengthMM: 13},
		"27G 38 mm cannula":                  {Kind: Cannula, Gauge: 27, LengthMM: 38, Wall: calc.Thin},
		"30G 12.7 mm ultra-thin wall needle": {Kind: Needle, Gauge: 30, LengthMM: 12.7, Wall: calc.UltraThin},
		"30G 13 mm regular wall needle":      {Kind: Needle, Gauge: 30, LengthMM: 13, Wall: calc.Regular},
	} {
		if got := i.Name(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
		back, err := ReadInstrument(want)
		if err != nil || back.Name() != want || back.LengthMM != i.LengthMM || back.Gauge != i.Gauge {
			t.Errorf("%q was read as %+v", want, back)
		}
	}
	for _, text := range []string{"30g 13mm needle", "30G13mm needle", "30 gauge 13 mm needle", "30G, 13 mm needle",
		" 30G  13 MM  Needle"} {
		if got, err := ReadInstrument(text); err != nil || got.Name() != "30G 13 mm needle" {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "needle", "30G needle", "30G 13 mm", "30G 13 mm spoon", "99G 13 mm needle",
		"30G 0 mm needle", "27G 13 mm ultra-thin wall needle"} {
		if got, err := ReadInstrument(text); err == nil {
			t.Errorf("%q was read as %+v", text, got)
		}
	}
}

func TestATubeIsTheMeasuredBoreOrTheStandardsMinimum(t *testing.T) {
	// 30G: 0.133 regular, 0.165 thin, 0.240 ultra-thin wall. Source: ISO 9626:2016,
	// as quoted in AAPS PharmSciTech 22 (2021), doi 10.1208/s12249-021-01949-4 (seen).
	for _, c := range []struct {
		i       Instrument
		boreMM  float64
		assumed bool
	}{
		{Instrument{Kind: Needle, Gauge: 30, LengthMM: 13, Wall: calc.UltraThin}, 0.240, false},
		{Instrument{Kind: Needle, Gauge: 30, LengthMM: 13, Wall: calc.Regular}, 0.133, false},
		{Instrument{Kind: Needle, Gauge: 30, LengthMM: 13}, 0.165, true},
		{Instrument{Kind: Needle, Gauge: 30, LengthMM: 13, BoreMM: 0.17}, 0.17, false},
		{Instrument{Kind: Needle, Gauge: 17, LengthMM: 13, BoreMM: 1.1}, 1.1, false},
	} {
		tube, assumed, err := c.i.Tube()
		if err != nil || tube.Bore != calc.Length(c.boreMM)*calc.Millimetre || assumed != c.assumed ||
			tube.Length != 13*calc.Millimetre+calc.HubLength {
			t.Errorf("%+v: %+v, assumed %v, %v", c.i, tube, assumed, err)
		}
	}
	if tube, _, err := (Instrument{Kind: Needle, Gauge: 30, LengthMM: 13, HubMM: 8}).Tube(); err != nil ||
		tube.Length != 13*calc.Millimetre+8*calc.Millimetre {
		t.Errorf("got %+v, %v", tube, err)
	}
}
