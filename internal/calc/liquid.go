package calc

import (
	"fmt"
	"math"
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

// checkTemperature returns a *RangeError unless the temperature is between
// freezing water and the end of a fit.
func checkTemperature(at, end Celsius) error {
	if !(at >= 0) || at > end {
		return &RangeError{Name: "temperature", Value: float64(at), Want: fmt.Sprintf("0 to %g °C", float64(end))}
	}
	return nil
}
