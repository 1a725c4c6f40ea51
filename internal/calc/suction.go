package calc

import "cmp"

// What the suction stands on. The gas volumes and the default pull are assumptions, from memory,
// without a published source; the method page shows them. With them a supplied syringe draws
// 77.9 kPa. For comparison, measured by hand with larger syringes: 58 kPa (10 mL) and 69 kPa
// (20 mL), Haseler et al., Cardiovasc Intervent Radiol 34 (2011) 590.
const (
	// AtmosphericPressure is the standard atmosphere, exact by definition
	// (CGPM 1954). A clinic 1000 m up has about a tenth less.
	AtmosphericPressure Pressure = 101_325

	// WaterVapourPressure is the vapour pressure of water at 20 °C: no liquid
	// can be drawn below it, it boils instead. Source: IAPWS-IF97, 2339.2 Pa.
	WaterVapourPressure Pressure = 2339

	// SuppliedGas is the gas trapped between gel and stopper, and in the luer
	// fitting, of a syringe as it comes with the gel. Assumption, from memory.
	SuppliedGas = 0.03 * Millilitre

	// FixedNeedleGas is the same for a syringe with its needle built in, which
	// has no fitting to hold any. Assumption, from memory.
	FixedNeedleGas = 0.005 * Millilitre

	// DefaultPull is how far the plunger is taken to have been drawn where
	// nobody recorded it. Assumption, from memory.
	DefaultPull = 0.1 * Millilitre
)

// Draw is one pull on the plunger, held.
type Draw struct {
	Pull   Volume   // how far the plunger is drawn
	Gas    Volume   // the gas trapped in the syringe before the pull
	Source Pressure // gauge pressure at the tip: 0 on the bench
}

// Suction returns the pressure difference that draws the gel back at the start of the pull.
//
//	Δp = p_atm + p_source − max(p_vap, p_atm V_gas / (V_gas + V_pull − V_in)),   V_in = 0
//
// The trapped gas follows Boyle's law, and nothing falls below the vapour pressure of water.
//
// Domain:   d.Pull ≥ 0, d.Gas ≥ 0, not both 0; d.Source finite.
// Accuracy: exact for the model; stopper friction, dissolved gas and the
// stretch of the barrel are left out.
// Errors:   *RangeError naming the argument outside the domain.
// Source:   Boyle's law; IAPWS-IF97 for the floor.
func (d Draw) Suction() (Pressure, error) {
	if err := d.check(); err != nil {
		return 0, err
	}
	return Pressure(d.suction(0)), nil
}

// check returns a *RangeError naming what is wrong with the pull.
func (d Draw) check() error {
	return cmp.Or(notNegative("pull", float64(d.Pull)), notNegative("trapped gas", float64(d.Gas)),
		positive("pull and trapped gas together", float64(d.Pull+d.Gas)),
		within("pressure at the tip", float64(d.Source), -maxFinite, maxFinite, "a finite number"))
}

// suction returns Δp in pascals once drawn m³ of liquid have come in, for arguments already
// checked and drawn below pull and gas together. It is 0 or less once the gas no longer pulls.
func (d Draw) suction(drawn float64) float64 {
	gas := float64(d.Gas)
	inside := float64(AtmosphericPressure) * gas / (gas + float64(d.Pull) - drawn)
	return float64(AtmosphericPressure) + float64(d.Source) - max(float64(WaterVapourPressure), inside)
}
