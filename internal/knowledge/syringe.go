package knowledge

import (
	"context"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/calc"
)

// Syringe is what the plunger is drawn in.
type Syringe struct {
	ID          int64
	Number      int64   // the community's own: 1, 2, 3 as added; 0 not stored
	Name        string  // "supplied", "fixed-needle 0.3 mL"
	FixedNeedle bool    // the needle is moulded on: hardly any gas behind the gel
	VolumeML    float64 // 0 not said
	GasML       float64 // gas trapped behind the gel, by kind of syringe if 0
}

// Supplied is the name of the syringe that a gel comes in.
const Supplied = "supplied"

// firstSyringes are what every community starts with.
func firstSyringes() []Syringe {
	return []Syringe{
		{Name: Supplied}, fixedNeedle(0.3), fixedNeedle(0.5), fixedNeedle(1),
	}
}

func fixedNeedle(ml float64) Syringe {
	return Syringe{Name: "fixed-needle " + number(ml) + " mL", FixedNeedle: true, VolumeML: ml}
}

// filled puts in what was left out. A syringe without a name is the supplied one.
func (s Syringe) filled() Syringe {
	s.Name = tidy(s.Name)
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
	if err := checkName("syringe name", s.Name, maxName); err != nil {
		return err
	}
	if err := checkRange("syringe volume", s.VolumeML, 0, 20, "mL"); err != nil {
		return err
	}
	return checkAbove("trapped gas", s.GasML, 0, 5, "mL")
}

var syringeName = regexp.MustCompile(`^(?:(fixed)[- ]needle )?(\d{1,2}(?:[.,]\d{1,3})?) ?ml(?: (fixed)[- ]needle)?$`)

// ReadSyringe reads a syringe from its name, spelling forgiven: "supplied",
// "fixed-needle 0.3 mL", "3 mL". Nothing typed is the supplied syringe.
//
// Errors: *FieldError, with an example of what would be read.
func ReadSyringe(name string) (Syringe, error) {
	plain := strings.TrimSuffix(strings.ToLower(tidy(name)), " syringe")
	if plain == "" || plain == Supplied {
		return Syringe{}.filled(), nil
	}
	found := syringeName.FindStringSubmatch(plain)
	if found == nil {
		return Syringe{}, refuse("syringe", "%q is not read; write supplied, or it like fixed-needle 0.3 mL", name)
	}
	volume, err := readNumber("syringe volume", found[2])
	if err != nil {
		return Syringe{}, err
	}
	s := Syringe{Name: number(volume) + " mL", VolumeML: volume}
	if found[1] != "" || found[3] != "" {
		s = fixedNeedle(volume)
	}
	s = s.filled()
	return s, s.Validate()
}

// AddSyringe adds a syringe and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if one by the same name is on the list.
func (g *Group) AddSyringe(ctx context.Context, s Syringe) (added Syringe, err error) {
	defer wrap(&err, "add syringe")
	err = g.store.inTx(ctx, func(q querier) error {
		added, err = g.insertSyringe(ctx, q, s)
		return err
	})
	return added, err
}

func (g *Group) insertSyringe(ctx context.Context, q querier, s Syringe) (Syringe, error) {
	s = s.filled()
	if err := s.Validate(); err != nil {
		return Syringe{}, err
	}
	err := q.Row(ctx, `
		INSERT INTO syringes (number, community_id, name_key, name, fixed_needle, volume_ml, gas_ml)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM syringes WHERE community_id = ?), ?, ?, ?, ?, ?, ?)
		RETURNING id, number`,
		g.id, g.id, fold(s.Name), s.Name, s.FixedNeedle, s.VolumeML, s.GasML,
	).Scan(&s.ID, &s.Number)
	if err != nil {
		return Syringe{}, err
	}
	return s, g.bumpVocabulary(ctx, q)
}

// Syringes returns the syringes in the order added.
func (g *Group) Syringes(ctx context.Context) (syringes []Syringe, err error) {
	defer wrap(&err, "syringes")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(v.Syringes), nil
}

// Syringe returns the syringe with that name, spelling forgiven. ErrNotFound if
// it is not on the list.
func (g *Group) Syringe(ctx context.Context, name string) (s Syringe, err error) {
	defer wrap(&err, "syringe")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return Syringe{}, err
	}
	s, ok := v.Syringe(name)
	if !ok {
		return Syringe{}, ErrNotFound
	}
	return s, nil
}
