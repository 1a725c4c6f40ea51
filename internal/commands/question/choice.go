package question

import (
	"strings"

	"holdbench/internal/trade"
)

// productChoices offers each possible product with the rest as it was said.
func (d draft) productChoices() []Choice {
	var choices []Choice
	for _, p := range d.product.options {
		if len(choices) > MaxChoices {
			break
		}
		c := d.choice(d.scan.ix.products[p].Name, d.instrumentText(), d.syringeText(), d.holdText(), d.pullText())
		c.Stated.Product = &d.scan.ix.products[p]
		choices = append(choices, c)
	}
	return choices
}

// instrumentChoices offers each possible instrument.
func (d draft) instrumentChoices() []Choice {
	var choices []Choice
	if d.scan.fixedCannula() { // one of the two cannot be meant
		supplied, fixed := d.choice(d.productText(), d.instrumentText(), suppliedText, d.holdText(), d.pullText()),
			d.choice(d.productText(), d.syringeText(), d.holdText(), d.pullText())
		supplied.Along, fixed.Along = supplied.Text, fixed.Text
		return []Choice{supplied, fixed}
	}
	for _, in := range d.instrument.options {
		c := d.choice(d.productText(), d.scan.ix.InstrumentName(in), d.syringeText(), d.holdText(), d.pullText())
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
		c := d.choice(d.productText(), d.instrumentText(), syringeText(sy), d.holdText(), d.pullText())
		c.Stated.Syringe = &sy
		choices = append(choices, c)
	}
	return choices
}

// secondsChoices offers each hold that was named.
func (d draft) secondsChoices() []Choice {
	var choices []Choice
	for _, v := range d.scan.seconds {
		c := d.choice(d.productText(), d.instrumentText(), d.syringeText(), secondsText(v), d.pullText())
		c.Stated.BySeconds = v
		choices = append(choices, c)
	}
	return choices
}

// pullChoices offers each pull that was named.
func (d draft) pullChoices() []Choice {
	var choices []Choice
	for _, v := range d.scan.pulls {
		c := d.choice(d.productText(), d.instrumentText(), d.syringeText(), d.holdText(), pullText(v))
		c.Stated.PullML = v
		choices = append(choices, c)
	}
	return choices
}

// choice joins the parts of a question. The label leaves out what goes without
// saying: the supplied syringe.
func (d draft) choice(parts ...string) Choice {
	var label, text []string
	for _, p := range parts {
		if p == "" {
			continue
		}
		text = append(text, p)
		if p != suppliedText {
			label = append(label, p)
		}
	}
	return Choice{Stated: d.scan.stated, Along: d.scan.source, Label: strings.Join(label, ", "), Text: strings.Join(text, ", ")}
}

// suppliedText says the usual syringe in a question.
const suppliedText = "supplied syringe"

// syringeText says a syringe so that it reads as that one again.
func syringeText(sy trade.Syringe) string {
	switch {
	case sy.FixedNeedle:
		return "fixed-needle " + short(sy.VolumeML) + " mL syringe"
	case sy.Name == "" || strings.EqualFold(sy.Name, trade.Supplied):
		return suppliedText
	}
	return sy.Name
}

func secondsText(v float64) string { return "by " + short(v) + " s" }

func pullText(v float64) string { return "pull " + short(v) + " mL" }

func (d draft) productText() string {
	if d.product.ok {
		return d.scan.ix.products[d.product.product].Name
	}
	return ""
}

// syringeText says the syringes that were said; what is open stays open.
func (d draft) syringeText() string {
	var parts []string
	for _, sy := range d.syringes {
		parts = append(parts, syringeText(sy))
	}
	if len(d.syringes) > 1 && d.scan.syringe.fixed && len(d.scan.syringe.volumes) == 0 && !d.scan.syringe.supplied && len(d.scan.syringe.doubtful) == 0 {
		return "fixed-needle syringe"
	}
	if d.scan.fixedInDoubt() {
		return "fixed-needle syringe"
	}
	return strings.Join(parts, " or ")
}

func (d draft) holdText() string {
	var parts []string
	for _, v := range d.scan.seconds {
		parts = append(parts, short(v)+" s")
	}
	if len(parts) == 0 {
		return ""
	}
	return "by " + strings.Join(parts, " or ")
}

func (d draft) pullText() string {
	var parts []string
	for _, v := range d.scan.pulls {
		parts = append(parts, pullText(v))
	}
	return strings.Join(parts, ", ")
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
