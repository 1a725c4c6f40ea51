package trade

import (
	"math"
	"testing"
)

func TestSyringesAreReadFromTheirNames(t *testing.T) {
	for text, want := range map[string]Syringe{
		"": {Name: "supplied", GasML: 0.03}, "Supplied": {Name: "supplied", GasML: 0.03},
		"supplied syringe":            {Name: "supplied", GasML: 0.03},
		"fixed-needle 0.3 mL":         {Name: "fixed-needle 0.3 mL", FixedNeedle: true, VolumeML: 0.3, GasML: 0.005},
		"0.3ml fixed needle":          {Name: "fixed-needle 0.3 mL", FixedNeedle: true, VolumeML: 0.3, GasML: 0.005},
		"Fixed needle 0,5 ml syringe": {Name: "fixed-needle 0.5 mL", FixedNeedle: true, VolumeML: 0.5, GasML: 0.005},
		"3 mL":                        {Name: "3 mL", VolumeML: 3, GasML: 0.03},
	} {
		got, err := ReadSyringe(text)
		if err != nil || math.Abs(got.GasML-want.GasML) > 1e-12 || got.Name != want.Name ||
			got.FixedNeedle != want.FixedNeedle || got.VolumeML != want.VolumeML {
			t.Errorf("%q: got %+v", text, got)
		}
	}
	for _, text := range []string{"big one", "-1 mL", "fixed-needle", "99 mL"} {
		if got, err := ReadSyringe(text); err == nil {
			t.Errorf("%q was read as %+v", text, got)
		}
	}
}
