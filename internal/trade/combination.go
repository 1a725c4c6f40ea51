package trade

import "holdbench/internal/calc"

// Combination is a product with the instrument and the syringe it is used with. An instrument or a
// syringe whose number is 0 is not on the list yet.
type Combination struct {
	Product    Product
	Instrument Instrument
	Syringe    Syringe // empty: the supplied one
}

// String writes the combination as answers do:
// "Orrick Mid, 30G 13 mm needle, supplied syringe".
func (c Combination) String() string {
	text := c.Product.Name
	if c.Instrument.Gauge != 0 {
		text += ", " + c.Instrument.Name()
	}
	return text + ", " + c.Syringe.Filled().Name + " syringe"
}

// Setup returns the combination as the model sees it. assumedWall says that neither a bore nor a wall
// class was recorded: the estimate is then a mixture over the wall classes.
//
// Errors: *FieldError for an instrument whose bore is not known.
func (c Combination) Setup() (s calc.Setup, assumedWall bool, err error) {
	tube, assumedWall, err := c.Instrument.Tube()
	if err != nil {
		return calc.Setup{}, false, err
	}
	gas := calc.Volume(c.Syringe.Filled().GasML) * calc.Millilitre
	s = calc.Setup{Tube: tube, Gas: gas}
	if assumedWall {
		s.UnrecordedWall = c.Instrument.Gauge
	}
	return s, assumedWall, nil
}
