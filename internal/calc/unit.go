package calc

// Length is a distance in metres.
type Length float64

// The units of Length that the trade uses.
const (
	Metre      Length = 1
	Millimetre Length = 1e-3
)

// Millimetres returns l in millimetres.
func (l Length) Millimetres() float64 { return float64(l / Millimetre) }

// Volume is a volume in cubic metres.
type Volume float64

// The units of Volume that the trade uses.
const (
	CubicMetre Volume = 1
	Millilitre Volume = 1e-6
)

// Millilitres returns v in millilitres.
func (v Volume) Millilitres() float64 { return float64(v / Millilitre) }

// Pressure is a pressure or a stress in pascals.
type Pressure float64

// The units of Pressure that the trade uses.
const (
	Pascal     Pressure = 1
	Kilopascal Pressure = 1e3
)

// Kilopascals returns p in kilopascals.
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }

// Viscosity is a dynamic viscosity in pascal seconds.
type Viscosity float64

// The units of Viscosity that handbooks print.
const (
	PascalSecond      Viscosity = 1
	MillipascalSecond Viscosity = 1e-3
)

// Seconds is a span of time in seconds; +Inf stands for "never".
type Seconds float64
