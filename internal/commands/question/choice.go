package question

import (
	"strings"

	"holdbench/internal/trade"
)

// productChoices offers each possible product with the rest as it was said.
func (d draft) productChoices() []Choice {
	var choices []Choice
	for _, p := range d.product.options[:min(len(d.product.options), MaxChoices+1)] {
		d.product.product, d.product.ok = p, true
		c := d.choice()
		c.Stated.Product = &d.scan.ix.products[p]
		choices = append(choices, c)
	}
	return choices
}

// instrumentChoices offers each possible instrument.
func (d draft) instrumentChoices() []Choice {
	if d.scan.fixedCannula() { // one of the two cannot be meant
		noSyringe, noCannula := d, d
		noSyringe.scan, noCannula.scan = d.scan.without(syringed), d.scan.without(kinded)
		noSyringe.syringes, noCannula.instrument = nil, noCannula.scan.readInstrument()
		return []Choice{noSyringe.choice(), noCannula.choice()}
	}
	var choices []Choice
	for _, in := range d.instrument.options {
		d.instrument.instrument, d.instrument.ok = in, true
		c := d.choice()
		c.Stated.Instrument = &in
		choices = append(choices, c)
	}
	return choices
}

// syringeChoices offers each possible syringe.
func (d draft) syringeChoices() []Choice {
	options := d.syringes
	if len(options) == 1 {
		options = append(d.scan.ix.fixedNeedles(), d.scan.ix.supplied())
	}
	var choices []Choice
	for _, sy := range options {
		d.syringes = []trade.Syringe{sy}
		c := d.choice()
		c.Stated.Syringe = &sy
		choices = append(choices, c)
	}
	return choices
}

// secondsChoices offers each hold that was named.
func (d draft) secondsChoices() []Choice {
	var choices []Choice
	for _, v := range d.seconds {
		d.seconds = []float64{v}
		c := d.choice()
		c.Stated.BySeconds = v
		choices = append(choices, c)
	}
	return choices
}

// pullChoices offers each pull that was named.
func (d draft) pullChoices() []Choice {
	var choices []Choice
	for _, v := range d.pulls {
		d.pulls = []float64{v}
		c := d.choice()
		c.Stated.PullML = v
		choices = append(choices, c)
	}
	return choices
}

// choice is the draft as a choice. Its label leaves out what goes without saying: the
// supplied syringe.
func (d draft) choice() Choice {
	var label []string
	if d.product.ok {
		label = append(label, d.scan.ix.products[d.product.product].Name)
	}
	if in := d.instrumentText(); in != "" {
		label = append(label, in)
	}
	switch {
	case len(d.syringes) == 1 && !strings.EqualFold(d.syringes[0].Name, trade.Supplied):
		label = append(label, syringeText(d.syringes[0]))
	case len(d.syringes) > 1 && d.scan.syringe.fixed:
		label = append(label, "fixed-needle syringe")
	}
	if len(d.seconds) == 1 {
		label = append(label, "by "+short(d.seconds[0])+" s")
	}
	if len(d.pulls) == 1 {
		label = append(label, "pull "+short(d.pulls[0])+" mL")
	}
	return Choice{Stated: d.scan.stated, Along: d.scan.source, Label: strings.Join(label, ", ")}
}

// without is the scan as if the tokens of a role had not been typed.
func (s *scan) without(r role) *scan {
	left := *s
	var b strings.Builder
	for i, t := range s.toks {
		if s.roles[i] == r {
			continue
		}
		if !t.glued {
			b.WriteByte(' ')
		}
		b.WriteString(t.raw)
	}
	left.source = b.String()
	if r == kinded {
		left.kinds = kindRead{needle: true}
	} else {
		left.syringe = syringeRead{}
	}
	return &left
}

// syringeText names a syringe.
func syringeText(sy trade.Syringe) string {
	if sy.FixedNeedle {
		return "fixed-needle " + short(sy.VolumeML) + " mL syringe"
	}
	return sy.Name
}

// instrumentText says what is known of the instrument: its name, or the parts
// that were said, so that what was open stays open.
func (d draft) instrumentText() string {
	s := d.scan
	if d.instrument.ok {
		return s.ix.InstrumentName(d.instrument.instrument)
	}
	var parts []string
	for _, g := range s.gauges {
		parts = append(parts, short(float64(g))+"G")
	}
	for _, l := range s.lengths {
		for _, mm := range l.options {
			parts = append(parts, short(mm)+" mm")
		}
	}
	for _, w := range s.walls {
		parts = append(parts, wallText(w))
	}
	switch needle, cannula := s.kinds.needle || s.kinds.asked, s.kinds.cannula || s.kinds.asked; {
	case needle && cannula:
		parts = append(parts, "needle or cannula")
	case needle:
		parts = append(parts, "needle")
	case cannula:
		parts = append(parts, "cannula")
	}
	return strings.Join(parts, " ")
}
