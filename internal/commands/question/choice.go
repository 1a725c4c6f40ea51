package question

import (
	"strings"

	"holdbench/internal/trade"
)

// offer makes a choice of each option. settle puts an option in its place among the pieces and in what the choice
// states.
func offer[T any](p pieces, options []T, settle func(*pieces, *Stated, T)) (choices []Choice) {
	for _, option := range options[:min(len(options), MaxChoices+1)] {
		settled, stated := p, p.scan.stated
		settle(&settled, &stated, option)
		c := settled.choice()
		c.Stated = stated
		choices = append(choices, c)
	}
	return choices
}

func (p pieces) productChoices() []Choice {
	return offer(p, p.product.options, func(p *pieces, said *Stated, id int32) {
		p.product.product, p.product.ok = id, true
		said.Product = &p.scan.ix.products[id]
	})
}

func (p pieces) instrumentChoices() []Choice {
	if p.scan.fixedCannula() { // one of the two cannot be meant
		noSyringe, noCannula := p, p
		noSyringe.scan, noCannula.scan = p.scan.without(syringed), p.scan.without(kinded)
		noSyringe.syringes, noCannula.instrument = nil, noCannula.scan.readInstrument()
		return []Choice{noSyringe.choice(), noCannula.choice()}
	}
	return offer(p, p.instrument.options, func(p *pieces, said *Stated, in trade.Instrument) {
		p.instrument.instrument, p.instrument.ok = in, true
		said.Instrument = &in
	})
}

func (p pieces) syringeChoices() []Choice {
	return offer(p, p.syringes, func(p *pieces, said *Stated, sy trade.Syringe) {
		p.syringes, said.Syringe = []trade.Syringe{sy}, &sy
	})
}

func (p pieces) secondsChoices() []Choice {
	return offer(p, p.seconds, func(p *pieces, said *Stated, v float64) { p.seconds, said.BySeconds = []float64{v}, v })
}

func (p pieces) pullChoices() []Choice {
	return offer(p, p.pulls, func(p *pieces, said *Stated, v float64) { p.pulls, said.PullML = []float64{v}, v })
}

// choice is a choice of the pieces as they are. Its label does not mention the supplied syringe.
func (p pieces) choice() Choice {
	var label []string
	if p.product.ok {
		label = append(label, p.scan.ix.products[p.product.product].Name)
	}
	if in := p.instrumentText(); in != "" {
		label = append(label, in)
	}
	switch {
	case len(p.syringes) == 1 && !strings.EqualFold(p.syringes[0].Name, trade.Supplied):
		label = append(label, syringeText(p.syringes[0]))
	case len(p.syringes) > 1 && p.scan.syringe.fixed:
		label = append(label, "fixed-needle syringe")
	}
	if by := only(p.seconds); by > 0 {
		label = append(label, "by "+trade.Number(by)+" s")
	}
	if pull := only(p.pulls); pull > 0 {
		label = append(label, "pull "+trade.Number(pull)+" mL")
	}
	return Choice{Stated: p.scan.stated, Along: p.scan.source, Label: strings.Join(label, ", ")}
}

// without is the scan as it would be without the tokens of a role.
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
		return "fixed-needle " + trade.Number(sy.VolumeML) + " mL syringe"
	}
	return sy.Name
}

// instrumentText names the instrument, or says those of its parts that were typed.
func (p pieces) instrumentText() string {
	s := p.scan
	if p.instrument.ok {
		return s.ix.InstrumentName(p.instrument.instrument)
	}
	var parts []string
	for _, g := range s.gauges {
		parts = append(parts, trade.Number(float64(g))+"G")
	}
	for _, l := range s.lengths {
		for _, mm := range l.options {
			parts = append(parts, trade.Number(mm)+" mm")
		}
	}
	for _, w := range s.walls {
		parts = append(parts, wallText(w))
	}
	needle, cannula := s.kinds.needle || s.kinds.asked, s.kinds.cannula || s.kinds.asked
	switch {
	case needle && cannula:
		parts = append(parts, "needle or cannula")
	case needle:
		parts = append(parts, "needle")
	case cannula:
		parts = append(parts, "cannula")
	}
	return strings.Join(parts, " ")
}
