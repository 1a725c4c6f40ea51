package calc

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
)

func TestViscosityOfBenchLiquids(t *testing.T) {
	for _, c := range []struct {
		liquid string
		at     Celsius
		mPas   float64
		tol    float64
	}{
		// Bakshi, Smith, J Dairy Sci 67 (1984) 1157, 3.5 % fat (seen); the printed digits
		{"whole milk", 4, 3.559, 0.0005 / 3.559}, {"whole milk", 20, 2.083, 0.0005 / 2.083}, {"whole milk", 25, 1.782, 0.0005 / 1.782},
		// IAPWS SR6-08, table 8 (seen)
		{"water", 25, 0.88999677, 1e-8},
		// Cheng, Ind Eng Chem Res 47 (2008) 3285 (seen); the printed digits
		{"glycerol-water 50%", 20, 6.0, 0.05 / 6.0}, {"glycerol-water 0%", 20, 1.005, 0.0005 / 1.005}, {"glycerol-water 40%", 20, 3.685, 0.0005 / 3.685},
	} {
		got, err := BenchLiquid(c.liquid, c.at)
		if err != nil {
			t.Errorf("%s at %g °C: %v", c.liquid, float64(c.at), err)
		}
		if mPas := float64(got / MillipascalSecond); !near(mPas, c.mPas, c.tol) {
			t.Errorf("%s at %g °C: %.8g mPa·s, want %g", c.liquid, float64(c.at), mPas, c.mPas)
		}
	}
}

// Two routes to the same liquid: a glycerol–water mixture without glycerol is water.
func TestGlycerolWaterWithoutGlycerolIsWater(t *testing.T) {
	for at := Celsius(0); at <= 100; at++ {
		water, err := Water(at)
		if err != nil {
			t.Fatal(err)
		}
		mixture, err := GlycerolWater(0, at)
		if err != nil {
			t.Fatal(err)
		}
		if !near(float64(mixture), float64(water), 0.006) { // Cheng's own fit of water: worst 0.58 %, at 85 °C
			t.Errorf("%g °C: mixture %g, water %g", float64(at), float64(mixture), float64(water))
		}
	}
}

func TestLiquidsThinAsTheyWarm(t *testing.T) {
	for _, liquid := range []string{"whole milk", "water", "glycerol-water 40%", "glycerol-water 100%"} {
		before := Viscosity(math.Inf(1))
		for at := Celsius(0); at <= 30; at++ {
			got, err := BenchLiquid(liquid, at)
			if err != nil {
				t.Fatal(err)
			}
			if !(got < before) || !(got > 0) {
				t.Errorf("%s at %g °C: %g, not below %g", liquid, float64(at), float64(got), float64(before))
			}
			before = got
		}
	}
}

// The bench liquids of the log lie about the viscosity of the blood they stand
// in for: 3.352 ± 0.360 mPa·s at 37 °C, Wesołowski, Młynarczak (2019), seen.
func TestFortyPercentGlycerolStandsInForBlood(t *testing.T) {
	for at := Celsius(18); at <= 24; at++ {
		got, err := BenchLiquid("glycerol-water 40%", at)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(got-WholeBlood)) > 2*float64(0.360*MillipascalSecond) {
			t.Errorf("at %g °C: %g mPa·s", float64(at), float64(got/MillipascalSecond))
		}
	}
}

func TestBenchLiquidReadsTheLogsText(t *testing.T) {
	want, err := WholeMilk(20)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"whole milk", "Whole Milk", "  whole   milk "} {
		if got, err := BenchLiquid(text, 20); err != nil || got != want {
			t.Errorf("%q: %g, %v", text, float64(got), err)
		}
	}
	for _, text := range []string{"", "milk", "blood", "glycerol-water", "glycerol-water 40", "glycerol-water x%", "glycerol-water %", "glycerol-water 40 %"} {
		var unknown *UnknownLiquidError
		if got, err := BenchLiquid(text, 20); !errors.As(err, &unknown) || got != 0 {
			t.Errorf("%q: %g, %v; want *UnknownLiquidError", text, float64(got), err)
		} else if !strings.Contains(err.Error(), strconv.Quote(text)) || !strings.Contains(err.Error(), "whole milk") {
			t.Errorf("%q: %v; want the text, and what would have been known", text, err)
		}
	}
}

func TestBenchLiquidRefusesOutsideTheFit(t *testing.T) {
	for _, c := range []struct {
		text string
		at   Celsius
	}{
		{"whole milk", -1}, {"whole milk", 30.5}, {"whole milk", Celsius(math.NaN())}, {"water", 101}, {"water", -0.1},
		{"glycerol-water 101%", 20}, {"glycerol-water -1%", 20}, {"glycerol-water NaN%", 20}, {"glycerol-water 40%", 101},
	} {
		var outside *RangeError
		if got, err := BenchLiquid(c.text, c.at); !errors.As(err, &outside) || got != 0 {
			t.Errorf("%s at %g °C: %g, %v; want a *RangeError", c.text, float64(c.at), float64(got), err)
		}
	}
}
