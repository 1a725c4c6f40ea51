package knowledge

import (
	"context"
	"database/sql"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/calc"
)

// Kind says whether an instrument is sharp or blunt.
type Kind string

// The kinds of instrument.
const (
	Needle  Kind = "needle"
	Cannula Kind = "cannula"
)

// Instrument is a needle or a cannula as the community uses it.
type Instrument struct {
	ID       int64
	Number   int64 // the community's own: 1, 2, 3 as added; 0 not stored
	Kind     Kind
	Gauge    int
	LengthMM float64        // exposed length
	Wall     calc.WallClass // "" not recorded
	BoreMM   float64        // measured bore, 0 not measured
	HubMM    float64        // length held inside the hub, calc.HubLength if 0
}

// Name writes the instrument as the trade does: "30G 13 mm needle". A recorded
// wall class other than thin is said: "30G 13 mm ultra-thin wall needle".
func (i Instrument) Name() string {
	name := strconv.Itoa(i.Gauge) + "G " + number(i.LengthMM) + " mm "
	if i.Wall != "" && i.Wall != calc.AssumedWall {
		name += string(i.Wall) + " wall "
	}
	return name + string(i.Kind)
}

// Tube returns the channel the gel is drawn back along: the measured bore, or
// else the standard's minimum for gauge and wall class. assumedWall says that
// no wall class was recorded and thin wall was taken.
//
// Errors: *FieldError for a gauge and wall class the standard has no bore for.
func (i Instrument) Tube() (t calc.Tube, assumedWall bool, err error) {
	t.Length = calc.Length(i.LengthMM)*calc.Millimetre + i.hub()
	if i.BoreMM > 0 {
		t.Bore = calc.Length(i.BoreMM) * calc.Millimetre
		return t, false, nil
	}
	wall := i.Wall
	if wall == "" {
		wall, assumedWall = calc.AssumedWall, true
	}
	t.Bore, err = calc.MinimumBore(i.Gauge, wall)
	var outside *calc.RangeError
	if errors.As(err, &outside) {
		err = refuse("gauge", "no bore is known for %dG %s wall; give the measured bore, or one of the gauges %s",
			i.Gauge, wall, listed(calc.Gauges()))
	}
	return t, assumedWall, err
}

// hub is how much of the tube is held inside the hub.
func (i Instrument) hub() calc.Length {
	if i.HubMM == 0 {
		return calc.HubLength
	}
	return calc.Length(i.HubMM) * calc.Millimetre
}

// Validate returns a *FieldError unless i could be an instrument.
func (i Instrument) Validate() error {
	if i.Kind != Needle && i.Kind != Cannula {
		return refuse("kind", "%q is neither needle nor cannula", i.Kind)
	}
	if err := checkRange("gauge", float64(i.Gauge), 14, 40, ""); err != nil {
		return err
	}
	if err := checkRange("length", i.LengthMM, 1, 150, "mm"); err != nil {
		return err
	}
	if i.Wall != "" && !i.Wall.Valid() {
		return refuse("wall class", "%q is not one of %s", i.Wall, listed(calc.WallClasses()))
	}
	if i.BoreMM != 0 {
		if err := checkRange("bore", i.BoreMM, 0.03, 2, "mm"); err != nil {
			return err
		}
	}
	if err := checkRange("hub length", i.HubMM, 0, 30, "mm"); err != nil {
		return err
	}
	_, _, err := i.Tube()
	return err
}

// filled puts in what was left out.
func (i Instrument) filled() Instrument {
	if i.HubMM == 0 {
		i.HubMM = calc.HubLength.Millimetres()
	}
	return i
}

// key is what the instrument is unique by: its name, which leaves out the bore.
func (i Instrument) key() string { return fold(i.Name()) }

var instrumentName = regexp.MustCompile(
	`^(\d{1,2}) ?g(?:auge)?,? (\d{1,3}(?:[.,]\d{1,3})?) ?mm,? (?:(regular|thin|extra[- ]thin|ultra[- ]thin)[- ]wall(?:ed)? )?(needle|cannula)$`)

// gaugeThenLength finds a gauge written up against the length: "30g13mm".
var gaugeThenLength = regexp.MustCompile(`(\d) ?g(?:auge)? ?,? ?(\d)`)

// ReadInstrument reads an instrument from its name, spelling forgiven:
// "30G 13 mm needle", "30g 13mm ultra-thin wall needle".
//
// Errors: *FieldError, with an example of what would be read.
func ReadInstrument(name string) (Instrument, error) {
	plain := strings.ToLower(tidy(name))
	plain = gaugeThenLength.ReplaceAllString(plain, "${1}g $2")
	found := instrumentName.FindStringSubmatch(plain)
	if found == nil {
		return Instrument{}, refuse("needle or cannula", "%q is not read; write it like 30G 13 mm needle or 25G 38 mm cannula", name)
	}
	gauge, err := strconv.Atoi(found[1])
	if err != nil {
		return Instrument{}, refuse("gauge", "%q is not a whole number", found[1])
	}
	length, err := readNumber("length", found[2])
	if err != nil {
		return Instrument{}, err
	}
	i := Instrument{Kind: Kind(found[4]), Gauge: gauge, LengthMM: length,
		Wall: calc.WallClass(strings.ReplaceAll(found[3], " ", "-"))}.filled()
	return i, i.Validate()
}

// AddInstrument adds a needle or cannula and returns it as stored.
//
// Errors: *FieldError; ErrDuplicate if one by the same name is on the list.
func (g *Group) AddInstrument(ctx context.Context, i Instrument) (added Instrument, err error) {
	defer wrap(&err, "add %s", i.Name())
	err = g.store.inTx(ctx, func(q querier) error {
		added, err = g.addInstrument(ctx, q, i)
		return err
	})
	return added, err
}

func (g *Group) addInstrument(ctx context.Context, q querier, i Instrument) (Instrument, error) {
	i = i.filled()
	if err := i.Validate(); err != nil {
		return Instrument{}, err
	}
	err := q.Row(ctx, `
		INSERT INTO instruments (number, community_id, name_key, kind, gauge, length_mm, wall, bore_mm, hub_mm)
		VALUES ((SELECT COALESCE(MAX(number), 0) + 1 FROM instruments WHERE community_id = ?), ?, ?, ?, ?, ?, ?, ?, ?)
		RETURNING id, number`,
		g.id, g.id, i.key(), i.Kind, i.Gauge, i.LengthMM, i.Wall, i.BoreMM, i.HubMM,
	).Scan(&i.ID, &i.Number)
	if err != nil {
		return Instrument{}, err
	}
	return i, g.bumpVocabulary(ctx, q)
}

// UpdateInstrument replaces what is recorded of the instrument with i.ID. Every
// product tested with it is estimated anew.
//
// Errors: *FieldError; ErrNotFound; ErrDuplicate as for AddInstrument.
func (g *Group) UpdateInstrument(ctx context.Context, i Instrument) (updated Instrument, err error) {
	defer wrap(&err, "update %s", i.Name())
	err = g.store.inTx(ctx, func(q querier) error {
		updated, err = g.updateInstrument(ctx, q, i)
		return err
	})
	return updated, err
}

func (g *Group) updateInstrument(ctx context.Context, q querier, i Instrument) (Instrument, error) {
	i = i.filled()
	if err := i.Validate(); err != nil {
		return Instrument{}, err
	}
	err := q.Row(ctx, `
		UPDATE instruments
		SET name_key = ?, kind = ?, gauge = ?, length_mm = ?, wall = ?, bore_mm = ?, hub_mm = ?
		WHERE community_id = ? AND id = ?
		RETURNING number`,
		i.key(), i.Kind, i.Gauge, i.LengthMM, i.Wall, i.BoreMM, i.HubMM, g.id, i.ID,
	).Scan(&i.Number)
	if errors.Is(err, sql.ErrNoRows) {
		return Instrument{}, notFound("needle or cannula")
	}
	if err != nil {
		return Instrument{}, err
	}
	if _, err := q.Exec(ctx, `
		UPDATE products SET log_version = log_version + 1
		WHERE community_id = ? AND id IN (
			SELECT product_id FROM tests WHERE community_id = ? AND instrument_id = ?)`,
		g.id, g.id, i.ID); err != nil {
		return Instrument{}, err
	}
	return i, g.bumpVocabulary(ctx, q)
}

// Instruments returns the needles and cannulas in the order added.
func (g *Group) Instruments(ctx context.Context) (instruments []Instrument, err error) {
	defer wrap(&err, "instruments")
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(v.Instruments), nil
}

// Instrument returns the needle or cannula with that name, spelling forgiven.
// ErrNotFound if it is not on the list; *FieldError if it is no name of one.
func (g *Group) Instrument(ctx context.Context, name string) (i Instrument, err error) {
	defer wrap(&err, "instrument")
	i, err = ReadInstrument(name)
	if err != nil {
		return Instrument{}, err
	}
	v, err := g.Vocabulary(ctx)
	if err != nil {
		return Instrument{}, err
	}
	i, ok := v.Instrument(i)
	if !ok {
		return Instrument{}, ErrNotFound
	}
	return i, nil
}
