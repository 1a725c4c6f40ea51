package calc

import (
	"errors"
	"testing"
)

func TestMinimumBoreAgainstTheStandard(t *testing.T) {
	for _, row := range []struct {
		gauge int
		wall  WallClass
		mm    float64
	}{
		// ISO 9626:2016, seen as quoted in AAPS PharmSciTech 2021, doi 10.1208/s12249-021-01949-4
		{30, Regular, 0.133}, {30, Thin, 0.165}, {30, ExtraThin, 0.190}, {30, UltraThin, 0.240},
		{32, Regular, 0.089}, {32, Thin, 0.105}, {32, ExtraThin, 0.125}, {32, UltraThin, 0.146},
		// ISO 9626:2016, from memory
		{22, Regular, 0.390}, {22, Thin, 0.440}, {22, ExtraThin, 0.522},
		{23, Regular, 0.317}, {23, Thin, 0.370}, {23, ExtraThin, 0.460},
		{25, Regular, 0.232}, {25, Thin, 0.292}, {26, Regular, 0.232}, {26, Thin, 0.292},
		{27, Regular, 0.184}, {27, Thin, 0.241},
		{28, Regular, 0.133}, {28, Thin, 0.190}, {28, ExtraThin, 0.240},
		{29, Regular, 0.133}, {29, Thin, 0.190}, {29, ExtraThin, 0.240},
		{31, Regular, 0.114}, {31, Thin, 0.125}, {31, ExtraThin, 0.146}, {31, UltraThin, 0.176},
		{33, Regular, 0.089}, {33, Thin, 0.105}, {33, ExtraThin, 0.125},
		{34, Regular, 0.064}, {34, Thin, 0.091}, {34, ExtraThin, 0.105},
	} {
		bore, err := MinimumBore(row.gauge, row.wall)
		if err != nil {
			t.Errorf("%dG %s wall: %v", row.gauge, row.wall, err)
		}
		if !near(bore.Millimetres(), row.mm, 1e-12) {
			t.Errorf("%dG %s wall: %g mm, want %g", row.gauge, row.wall, bore.Millimetres(), row.mm)
		}
	}
}

// A needle's bore must leave room for its wall. Outer diameters in mm, ISO 6009
// hub code (seen); 0.01 mm for their own rounding.
func TestMinimumBoreFitsInsideTheNeedle(t *testing.T) {
	outer := map[int]float64{22: 0.70, 23: 0.60, 25: 0.50, 26: 0.45, 27: 0.40, 29: 0.33, 30: 0.30}
	for gauge, mm := range outer {
		for _, wall := range WallClasses() {
			bore, err := MinimumBore(gauge, wall)
			if err == nil && !(bore.Millimetres() < mm-0.01) {
				t.Errorf("%dG %s wall: a bore of %g mm in a needle of %g mm", gauge, wall, bore.Millimetres(), mm)
			}
		}
	}
}

// The classic gauge chart's nominal bores (seen: 22G .413, 25G .260, 27G .210,
// 30G .159, 31G .133, 32G .108 mm) are regular-wall needles of the older trade:
// not below the standard's regular wall, and not above its widest wall.
func TestMinimumBoreAgreesWithTheGaugeChart(t *testing.T) {
	for gauge, mm := range map[int]float64{22: 0.413, 25: 0.260, 27: 0.210, 30: 0.159, 31: 0.133, 32: 0.108} {
		narrow, err := MinimumBore(gauge, Regular)
		if err != nil {
			t.Fatal(err)
		}
		widest := narrow
		for _, wall := range WallClasses() {
			if bore, err := MinimumBore(gauge, wall); err == nil {
				widest = max(widest, bore)
			}
		}
		if mm < narrow.Millimetres() || mm > widest.Millimetres() {
			t.Errorf("%dG: chart %g mm, standard %g to %g", gauge, mm, narrow.Millimetres(), widest.Millimetres())
		}
	}
}

func TestBoreGrowsAsWallThinsAndGaugeFalls(t *testing.T) {
	for i, gauge := range Gauges() {
		before := Length(0)
		for _, wall := range WallClasses() {
			bore, err := MinimumBore(gauge, wall)
			if err != nil {
				continue
			}
			if bore <= before {
				t.Errorf("%dG: %s wall is no wider than the class before", gauge, wall)
			}
			before = bore
		}
		if i == 0 {
			continue
		}
		wider, _ := MinimumBore(Gauges()[i-1], Thin)
		if narrower, _ := MinimumBore(gauge, Thin); narrower > wider || gauge <= Gauges()[i-1] {
			t.Errorf("%dG is wider than %dG", gauge, Gauges()[i-1])
		}
	}
}

func TestMinimumBoreRefusesWhatTheTableLacks(t *testing.T) {
	for _, c := range []struct {
		gauge int
		wall  WallClass
	}{{24, Thin}, {0, Thin}, {-30, Thin}, {27, ExtraThin}, {27, UltraThin}, {30, ""}, {30, "thick"}} {
		bore, err := MinimumBore(c.gauge, c.wall)
		var outside *RangeError
		if !errors.As(err, &outside) || bore != 0 {
			t.Errorf("%dG %q wall: %g, %v; want a *RangeError", c.gauge, c.wall, float64(bore), err)
		}
	}
}

func TestEveryGaugeHasAnAssumedWallBore(t *testing.T) {
	for _, gauge := range Gauges() {
		if _, err := MinimumBore(gauge, AssumedWall); err != nil {
			t.Errorf("%dG: %v", gauge, err)
		}
	}
	for _, wall := range WallClasses() {
		if !wall.Valid() {
			t.Errorf("%q is not valid", wall)
		}
	}
	if WallClass("").Valid() || WallClass("Thin").Valid() {
		t.Error("a wall class that does not exist is valid")
	}
}
