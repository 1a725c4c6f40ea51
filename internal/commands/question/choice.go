package question

import (
	"strings"

	"holdbench/internal/trade"
)

// offer makes a choice of each option. settle puts an option into the draft and into what
// the choice states.
func offer[T any](d draft, options []T, settle func(*draft, *Stated, T)) (choices []Choice) {
	for _, option := range options[:min(len(options), MaxChoices+1)] {
		settled, stated := d, d.scan.stated
		settle(&settled, &stated, option)
		c := settled.choice()
		c.Stated = stated
		choices = append(choices, c)
	}
	return choices
}

func (d draft) productChoices() []Choice {
	return offer(d, d.product.options, func(d *draft, said *Stated, p int32) {
		d.product.product, d.product.ok = p, true
		said.Product = &d.scan.ix.products[p]
	})
}

func (d draft) instrumentChoices() []Choice {
	if d.scan.fixedCannula() { // one of the two cannot be meant
		noSyringe, noCannula := d, d
		noSyringe.scan, noCannula.scan = d.scan.without(syringed), d.scan.without(kinded)
		noSyringe.syringes, noCannula.instrument = nil, noCannula.scan.readInstrument()
		return []Choice{noSyringe.choice(), noCannula.choice()}
	}
	return offer(d, d.instrument.options, func(d *draft, said *Stated, in trade.Instrument) {
		d.instrument.instrument, d.instrument.ok = in, true
		said.Instrument = &in
	})
}

func (d draft) syringeChoices() []Choice {
	return offer(d, d.syringes, func(d *draft, said *Stated, sy trade.Syringe) {
		d.syringes, said.Syringe = []trade.Syringe{sy}, &sy
	})
}

func (d draft) secondsChoices() []Choice {
	return offer(d, d.seconds, func(d *draft, said *Stated, v float64) { d.seconds, said.BySeconds = []float64{v}, v })
}

func (d draft) pullChoices() []Choice {
	return offer(d, d.pulls, func(d *draft, said *Stated, v float64) { d.pulls, said.PullML = []float64{v}, v })
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
	if by := only(d.seconds); by > 0 {
		label = append(label, "by "+short(by)+" s")
	}
	if pull := only(d.pulls); pull > 0 {
		label = append(label, "pull "+short(pull)+" mL")
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
