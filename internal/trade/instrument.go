package trade

import (
	"cmp"
	"errors"
	"regexp"
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

	RetiredOn string // day since which it is no longer suggested; "" still on the list
}

// Name writes the instrument as the trade does: "30G 13 mm needle", or with a recorded wall class
// other than thin "30G 13 mm ultra-thin wall needle".
func (i Instrument) Name() string {
	name := strconv.Itoa(i.Gauge) + "G " + Number(i.LengthMM) + " mm "
	if i.Wall != "" && i.Wall != calc.AssumedWall {
		name += string(i.Wall) + " wall "
	}
	return name + string(i.Kind)
}

// Tube returns the channel that the gel is drawn back along. Its bore is the measured one, or else
// the standard's minimum for gauge and wall class. assumedWall says that no wall class was recorded
// and thin wall was taken.
//
// Errors: *FieldError for a gauge and wall class the standard has no bore for.
func (i Instrument) Tube() (t calc.Tube, assumedWall bool, err error) {
	t.Length = calc.Length(i.LengthMM)*calc.Millimetre + i.Hub()
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
		err = Refuse("gauge", "no bore is known for %dG %s wall; give the measured bore, or one of the gauges %s",
			i.Gauge, wall, Listed(calc.Gauges()))
	}
	return t, assumedWall, err
}

// Hub is how much of the tube is held inside the hub.
func (i Instrument) Hub() calc.Length {
	if i.HubMM == 0 {
		return calc.HubLength
	}
	return calc.Length(i.HubMM) * calc.Millimetre
}

// Validate returns a *FieldError unless i could be an instrument.
func (i Instrument) Validate() error {
	if i.Kind != Needle && i.Kind != Cannula {
		return Refuse("kind", "%q is neither needle nor cannula", i.Kind)
	}
	var wall, bore error
	if i.Wall != "" && !i.Wall.Valid() {
		wall = Refuse("wall class", "%q is not one of %s", i.Wall, Listed(calc.WallClasses()))
	}
	if i.BoreMM != 0 {
		bore = CheckRange("bore", i.BoreMM, 0.03, 2, "mm")
	}
	err := cmp.Or(CheckRange("gauge", float64(i.Gauge), 14, 40, ""), CheckRange("length", i.LengthMM, 1, 150, "mm"),
		wall, bore, CheckRange("hub length", i.HubMM, 0, 30, "mm"), optionalDay("retired on", i.RetiredOn))
	if err != nil {
		return err
	}
	_, _, err = i.Tube()
	return err
}

// Filled returns i with the usual hub length where none was given.
func (i Instrument) Filled() Instrument {
	if i.HubMM == 0 {
		i.HubMM = calc.HubLength.Millimetres()
	}
	return i
}

var instrumentName = regexp.MustCompile(`^(\d{1,2}) ?g(?:auge)?,? (\d{1,3}(?:[.,]\d{1,3})?) ?mm,? ` +
	`(?:(regular|thin|extra[- ]thin|ultra[- ]thin)[- ]wall(?:ed)? )?(needle|cannula)$`)

// gaugeThenLength finds a gauge and a length without a space between them: "30g13mm".
var gaugeThenLength = regexp.MustCompile(`(\d) ?g(?:auge)? ?,? ?(\d)`)

// ReadInstrument reads an instrument from its name, in any usual spelling: "30G 13 mm needle", "30g
// 13mm ultra-thin wall needle".
//
// Errors: *FieldError, with an example of what would be read.
func ReadInstrument(name string) (Instrument, error) {
	plain := strings.ToLower(Tidy(name))
	plain = gaugeThenLength.ReplaceAllString(plain, "${1}g $2")
	found := instrumentName.FindStringSubmatch(plain)
	if found == nil {
		return Instrument{}, Refuse("needle or cannula",
			"%q is not read; write it like 30G 13 mm needle or 25G 38 mm cannula", name)
	}
	gauge, err := strconv.Atoi(found[1])
	if err != nil {
		return Instrument{}, Refuse("gauge", "%q is not a whole number", found[1])
	}
	length, err := ReadNumber("length", found[2])
	if err != nil {
		return Instrument{}, err
	}
	i := Instrument{Kind: Kind(found[4]), Gauge: gauge, LengthMM: length,
		Wall: calc.WallClass(strings.ReplaceAll(found[3], " ", "-"))}.Filled()
	return i, i.Validate()
}
