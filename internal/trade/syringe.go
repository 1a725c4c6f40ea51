package trade

import (
	"cmp"
	"regexp"
	"strings"

	"holdbench/internal/calc"
)

// Syringe is what the plunger is drawn in.
type Syringe struct {
	ID          int64
	Number      int64   // the community's own: 1, 2, 3 as added; 0 not stored
	Name        string  // "supplied", "fixed-needle 0.3 mL"
	FixedNeedle bool    // the needle is moulded on: hardly any gas behind the gel
	VolumeML    float64 // 0 not known
	GasML       float64 // gas trapped behind the gel; 0: by the kind of syringe

	RetiredOn string // day since which it is no longer suggested; "" still on the list
}

// Supplied is the name of the syringe that a gel comes in.
const Supplied = "supplied"

// FirstSyringes returns the syringes that every community's list starts with.
func FirstSyringes() []Syringe {
	return []Syringe{{Name: Supplied}, FixedNeedle(0.3), FixedNeedle(0.5), FixedNeedle(1)}
}

// FixedNeedle returns the fixed-needle syringe of a volume.
func FixedNeedle(ml float64) Syringe {
	return Syringe{Name: "fixed-needle " + Number(ml) + " mL", FixedNeedle: true, VolumeML: ml}
}

// IsSupplied reports whether it is the syringe that a gel comes in.
func (s Syringe) IsSupplied() bool { return Fold(s.Name) == Supplied }

// Filled returns s with its name tidied and with what was left out: the gas by the kind of syringe,
// and the name, for a syringe without one is the supplied one.
func (s Syringe) Filled() Syringe {
	s.Name = Tidy(s.Name)
	if s.Name == "" {
		s.Name = Supplied
	}
	if s.GasML == 0 {
		gas := calc.SuppliedGas
		if s.FixedNeedle {
			gas = calc.FixedNeedleGas
		}
		s.GasML = gas.Millilitres()
	}
	return s
}

// Validate returns a *FieldError unless s could be a syringe.
func (s Syringe) Validate() error {
	return cmp.Or(CheckName("syringe name", s.Name, LongestName), CheckRange("syringe volume", s.VolumeML, 0, 20, "mL"),
		CheckAbove("trapped gas", s.GasML, 0, 5, "mL"))
}

var syringeName = regexp.MustCompile(`^(?:(fixed)[- ]needle )?(\d{1,2}(?:[.,]\d{1,3})?) ?ml(?: (fixed)[- ]needle)?$`)

// ReadSyringe reads a syringe from its name, in any usual spelling: "supplied", "fixed-needle 0.3
// mL", "3 mL". Nothing typed is the supplied syringe.
//
// Errors: *FieldError, with an example of what would be read.
func ReadSyringe(name string) (Syringe, error) {
	plain := strings.TrimSuffix(strings.ToLower(Tidy(name)), " syringe")
	if plain == "" || plain == Supplied {
		return Syringe{}.Filled(), nil
	}
	found := syringeName.FindStringSubmatch(plain)
	if found == nil {
		return Syringe{}, Refuse("syringe", "%q is not read; write supplied, or as in fixed-needle 0.3 mL", name)
	}
	volume, err := ReadNumber("syringe volume", found[2])
	if err != nil {
		return Syringe{}, err
	}
	s := Syringe{Name: Number(volume) + " mL", VolumeML: volume}
	if found[1] != "" || found[3] != "" {
		s = FixedNeedle(volume)
	}
	s = s.Filled()
	return s, s.Validate()
}
