package calc

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Celsius is a temperature in degrees Celsius.
type Celsius float64

// kelvin returns the temperature in kelvins.
func (c Celsius) kelvin() float64 { return float64(c) + 273.15 }

// WholeBlood is the viscosity of whole blood at 37 °C, ± 0.36 mPa·s from donor
// to donor: what a bench liquid stands in for.
//
// Source: Wesołowski, Młynarczak (2019, preprint), capillary method, 30 donors.
const WholeBlood = 3.352 * MillipascalSecond

// wholeMilkFat is the fat of whole milk in percent.
const wholeMilkFat = 3.5

// WholeMilk returns the viscosity of whole milk, 3.5 % fat.
//
//	ln μ = −8.9 + 0.1 F + 2721.5/T   (μ in mPa·s, F in percent, T in K)
//
// Domain:   0 to 30 °C.
// Accuracy: a few percent, as a fit to measured milk.
// Errors:   *RangeError for a temperature outside the fit.
// Source:   Bakshi, Smith, J Dairy Sci 67 (1984) 1157.
func WholeMilk(at Celsius) (Viscosity, error) {
	if err := checkTemperature(at, 30); err != nil {
		return 0, err
	}
	return Viscosity(math.Exp(-8.9+0.1*wholeMilkFat+2721.5/at.kelvin())) * MillipascalSecond, nil
}

// Water returns the viscosity of water at atmospheric pressure.
//
//	μ = Σ aᵢ (T/300 K)^bᵢ   (µPa·s; a = 280.68, 511.45, 61.131, 0.45903;
//	                         b = −1.9, −7.7, −19.6, −40)
//
// Domain:   0 to 100 °C.
// Accuracy: 1 %, as its source states.
// Errors:   *RangeError for a temperature outside the domain.
// Source:   IAPWS SR6-08 (2011), eq. 7, coefficients from memory; checked
// against its table 8.
func Water(at Celsius) (Viscosity, error) {
	if err := checkTemperature(at, 100); err != nil {
		return 0, err
	}
	r := at.kelvin() / 300
	μ := 280.68*math.Pow(r, -1.9) + 511.45*math.Pow(r, -7.7) + 61.131*math.Pow(r, -19.6) + 0.45903*math.Pow(r, -40)
	return Viscosity(μ) * 1e-6 * PascalSecond, nil
}

// GlycerolWater returns the viscosity of glycerol in water, with the glycerol as
// a share of the mass.
//
//	μ = μw^α μg^(1−α),   α = 1 − C + a b C (1−C)/(a C + b (1−C))
//	a = 0.705 − 0.0017 T,   b = (4.9 + 0.036 T) a^2.5
//	μw = 1.790 exp((−1230 − T) T/(36100 + 360 T))
//	μg = 12100 exp((−1233 + T) T/(9900 + 70 T))   (mPa·s, T in °C)
//
// Domain:   0 ≤ glycerol ≤ 1; 0 to 100 °C.
// Accuracy: a few percent, as its source states; within 0.6 % of Water at 0.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Cheng, Ind Eng Chem Res 47 (2008) 3285.
func GlycerolWater(glycerol float64, at Celsius) (Viscosity, error) {
	if !(glycerol >= 0) || glycerol > 1 {
		return 0, &RangeError{Name: "share of glycerol", Value: glycerol, Want: "0 to 1"}
	}
	if err := checkTemperature(at, 100); err != nil {
		return 0, err
	}
	C, T := glycerol, float64(at)
	a := 0.705 - 0.0017*T
	b := (4.9 + 0.036*T) * math.Pow(a, 2.5)
	α := 1 - C + a*b*C*(1-C)/(a*C+b*(1-C))
	μw := 1.790 * math.Exp((-1230-T)*T/(36100+360*T))
	μg := 12100 * math.Exp((-1233+T)*T/(9900+70*T))
	return Viscosity(math.Pow(μw, α)*math.Pow(μg, 1-α)) * MillipascalSecond, nil
}

// UnknownLiquidError says that nothing is known of a bench liquid.
type UnknownLiquidError struct {
	Liquid string // as it was given
}

// Error names the liquid and what would have been known.
func (e *UnknownLiquidError) Error() string {
	return fmt.Sprintf(`no viscosity is known for %q, want "whole milk", "water" or "glycerol-water" with a percentage by mass`, e.Liquid)
}

// BenchLiquid returns the viscosity of a bench liquid by the text that the log
// has for it: "whole milk", "water", or "glycerol-water 40%" with any percentage
// by mass. Letter case and spaces around do not matter.
//
// Domain:   the texts above; the temperatures of the liquid.
// Accuracy: that of WholeMilk, Water and GlycerolWater.
// Errors:   *UnknownLiquidError for another text; *RangeError for a temperature
// or a percentage outside the domain.
// Source:   as those three.
func BenchLiquid(text string, at Celsius) (Viscosity, error) {
	words := strings.Fields(strings.ToLower(text))
	switch strings.Join(words, " ") {
	case "whole milk":
		return WholeMilk(at)
	case "water":
		return Water(at)
	}
	if len(words) == 2 && words[0] == "glycerol-water" && strings.HasSuffix(words[1], "%") {
		percent, err := strconv.ParseFloat(strings.TrimSuffix(words[1], "%"), 64)
		if err == nil {
			return GlycerolWater(percent/100, at)
		}
	}
	return 0, &UnknownLiquidError{Liquid: text}
}

// checkTemperature returns a *RangeError unless the temperature is between
// freezing water and the end of a fit.
func checkTemperature(at, end Celsius) error {
	if !(at >= 0) || at > end {
		return &RangeError{Name: "temperature", Value: float64(at), Want: fmt.Sprintf("0 to %g °C", float64(end))}
	}
	return nil
}
