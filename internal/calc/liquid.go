package calc

import "math"

// Celsius is a temperature in degrees Celsius.
type Celsius float64

// WholeBlood is the viscosity of whole blood at 37 °C, ± 0.36 mPa·s from donor to donor. A bench
// liquid stands in for it.
//
// Source: Wesołowski, Młynarczak (2019, preprint), capillary method, 30 donors.
const WholeBlood = 3.352 * MillipascalSecond

// What WholeMilk stands on: the fat of whole milk in percent, and the warmest milk of the fit.
const (
	wholeMilkFat         = 3.5
	warmestMilk  Celsius = 30
)

// WholeMilk returns the viscosity of whole milk, 3.5 % fat.
//
//	ln μ = −8.9 + 0.1 F + 2721.5/T   (μ in mPa·s, F in percent, T in K)
//
// Domain:   0 to 30 °C.
// Accuracy: a few percent, as a fit to measured milk.
// Errors:   *RangeError for a temperature outside the fit.
// Source:   Bakshi, Smith, J Dairy Sci 67 (1984) 1157.
func WholeMilk(at Celsius) (Viscosity, error) {
	if err := within("temperature", float64(at), 0, float64(warmestMilk), "0 to 30 °C"); err != nil {
		return 0, err
	}
	kelvin := float64(at) + 273.15
	return Viscosity(math.Exp(-8.9+0.1*wholeMilkFat+2721.5/kelvin)) * MillipascalSecond, nil
}
