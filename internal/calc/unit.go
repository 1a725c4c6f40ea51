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

// Millilitre is the unit of Volume that the trade uses.
const Millilitre Volume = 1e-6

// Millilitres returns v in millilitres.
func (v Volume) Millilitres() float64 { return float64(v / Millilitre) }

// Pressure is a pressure or a stress in pascals.
type Pressure float64

// Viscosity is a dynamic viscosity in pascal seconds.
type Viscosity float64

// MillipascalSecond is the unit of Viscosity that handbooks print.
const MillipascalSecond Viscosity = 1e-3

// Seconds is a span of time in seconds; +Inf stands for "never".
type Seconds float64
