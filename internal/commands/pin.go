package commands

import (
	"maps"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// pin names a combination in a few characters, unmistakably within the group: the group's own numbers of its parts, or
// the name of a part that is not on a list. A renamed product keeps its pin.
func pin(c trade.Combination) string {
	instrument, syringe := c.Instrument.Name(), c.Syringe.Name
	if c.Instrument.Number != 0 {
		instrument = strconv.FormatInt(c.Instrument.Number, 10)
	}
	if c.Syringe.Number != 0 {
		syringe = strconv.FormatInt(c.Syringe.Number, 10)
	}
	return strconv.FormatInt(c.Product.Number, 10) + "/" + instrument + "/" + syringe
}

// about is a request to command about just this combination, with the words that one would type for it.
func about(command string, c trade.Combination) Request {
	return Request{Command: command, Text: c.String(), About: pin(c)}
}

// errGone refuses a pin whose combination is no longer on the lists.
func errGone() error {
	return refuse("Ask anew.", "That gel, needle or syringe is no longer on the group's list.")
}

// pinned is the combination that a pin names.
//
// Errors: *UserError if a part is no longer on the list.
func pinned(v *knowledge.Vocabulary, pin string) (c trade.Combination, err error) {
	parts := strings.Split(pin, "/")
	if len(parts) != 3 {
		return c, errGone()
	}
	for _, p := range v.Products {
		if strconv.FormatInt(p.Number, 10) == parts[0] {
			c.Product = p
		}
	}
	for _, i := range v.Instruments {
		if strconv.FormatInt(i.Number, 10) == parts[1] {
			c.Instrument = i
		}
	}
	for _, s := range v.Syringes {
		if strconv.FormatInt(s.Number, 10) == parts[2] {
			c.Syringe = s
		}
	}
	if c.Instrument.ID == 0 {
		c.Instrument, err = trade.ReadInstrument(parts[1])
	}
	if c.Syringe.ID == 0 && err == nil {
		c.Syringe, err = trade.ReadSyringe(parts[2])
	}
	if c.Product.ID == 0 || err != nil {
		return c, errGone()
	}
	return c, nil
}

// takePin puts the combination of a pinned request into the options that name one and were not given. A command that
// reads questions uses the pin itself.
func (c *Call) takePin() error {
	if c.About == "" || c.cmd.Free || c.cmd.Alone {
		return nil
	}
	of, err := pinned(c.lists, c.About)
	if err != nil {
		return err
	}
	c.Text = ""
	for name, value := range combinationValues(of) {
		if c.cmd.option(name) != nil && c.Values[name] == "" {
			c.Values[name] = value
		}
	}
	return nil
}

// Short is the request without the words and options that repeat its pin, for a surface with little room to keep it.
func (r Request) Short() Request {
	if r.About == "" {
		return r
	}
	r.Text = ""
	return r.withoutNames()
}

// withoutNames is the request without the options that name a combination.
func (r Request) withoutNames() Request {
	r.Values = maps.Clone(r.Values)
	for _, name := range combinationNames {
		delete(r.Values, name)
	}
	return r
}
