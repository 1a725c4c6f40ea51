package knowledge

import (
	"context"

	"holdbench/internal/trade"
)

// syringeTable: what the other cells leave out is as the name says.
func syringeTable() table[trade.Syringe] {
	return table[trade.Syringe]{
		{name: "syringe", write: func(s *trade.Syringe) string { return s.Name }, read: readSyringeName},
		{name: "fixed_needle", optional: true, write: func(s *trade.Syringe) string { return yesNo(s.FixedNeedle) },
			read: readFixedNeedle},
		numberIfKnown("volume_ml", func(s *trade.Syringe) *float64 { return &s.VolumeML }),
		numberIfKnown("gas_ml", func(s *trade.Syringe) *float64 { return &s.GasML }),
		retired(func(s *trade.Syringe) *string { return &s.RetiredOn }),
	}
}

func readSyringeName(s *trade.Syringe, cell string) error {
	if cell == "" {
		return trade.Refuse("syringe", "is missing")
	}
	if named, err := trade.ReadSyringe(cell); err == nil {
		*s = named
	}
	s.Name, s.GasML = trade.Tidy(cell), 0
	return nil
}

func readFixedNeedle(s *trade.Syringe, cell string) error {
	switch cell {
	case "yes", "no":
		s.FixedNeedle = cell == "yes"
	case "":
	default:
		return trade.Refuse("fixed_needle", "%q is neither yes nor no", cell)
	}
	return nil
}

func (g *Group) prepareSyringes(ctx context.Context,
	q querier) (in fileImport[trade.Syringe, planned[trade.Syringe]], err error) {
	list, err := g.syringeList().importOf(ctx, q, g, completedSyringe)
	if err != nil {
		return in, err
	}
	in.table, in.store = syringeTable(), list.store
	in.plan = func(s trade.Syringe) (*planned[trade.Syringe], become, error) {
		if s.RetiredOn != "" {
			if err := trade.CheckDay("retired on", s.RetiredOn); err != nil {
				return nil, 0, err
			}
		}
		s = s.Filled()
		if err := s.Validate(); err != nil {
			return nil, 0, err
		}
		return list.plan(s)
	}
	return in, nil
}

// completedSyringe is the syringe on the list with what a file has beyond it: the volume that
// was not recorded, and the gas where the one on record is that of its kind.
func completedSyringe(old, s trade.Syringe) (trade.Syringe, error) {
	ofKind := trade.Syringe{FixedNeedle: old.FixedNeedle}.Filled().GasML
	merged := old
	if merged.VolumeML == 0 {
		merged.VolumeML = s.VolumeML
	}
	if merged.GasML == ofKind {
		merged.GasML = s.GasML
	}
	switch {
	case s.FixedNeedle != old.FixedNeedle:
		return old, trade.Refuse("fixed_needle", "%s is recorded with %s", old.Name, yesNo(old.FixedNeedle))
	case s.VolumeML != 0 && s.VolumeML != merged.VolumeML:
		return old, trade.Refuse("volume", "%s is recorded with %s mL, not %s", old.Name, trade.Number(merged.VolumeML),
			trade.Number(s.VolumeML))
	case s.GasML != ofKind && s.GasML != merged.GasML:
		return old, trade.Refuse("gas", "%s is recorded with %s mL, not %s", old.Name, trade.Number(merged.GasML),
			trade.Number(s.GasML))
	}
	return merged, nil
}
