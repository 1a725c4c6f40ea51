package knowledge

import (
	"cmp"
	"context"
	"io"

	"holdbench/internal/trade"
)

func syringeTable() table[trade.Syringe] {
	return table[trade.Syringe]{
		{"syringe", false, func(s trade.Syringe) string { return s.Name }, nil},
		{"fixed_needle", true, func(s trade.Syringe) string { return yesNo(s.FixedNeedle) }, nil},
		{"volume_ml", true, func(s trade.Syringe) string { return numberOrBlank(s.VolumeML) }, nil},
		{"gas_ml", true, func(s trade.Syringe) string { return trade.Number(s.GasML) }, nil},
		retired(func(s trade.Syringe) string { return s.RetiredOn }),
	}
}

// ExportSyringes writes the syringes in the order added.
func (g *Group) ExportSyringes(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export syringes")
	syringes, err := g.Syringes(ctx)
	if err != nil {
		return err
	}
	return syringeTable().write(w, syringes)
}

// ImportSyringes adds the syringes of a file. One that is on the list already gets the volume
// and the gas that were not recorded yet, where the gas is that of its kind; a file that
// contradicts what is recorded is at fault there. What is in use stays in use, as of products.
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportSyringes(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import syringes")
	return g.importSyringes(ctx, tableOf(r), Importing{SkipBad: skipBad})
}

func (g *Group) importSyringes(ctx context.Context, open source, how Importing) (ImportReport, error) {
	return importSheet(ctx, g, open, syringeTable().columns(), how,
		func(ctx context.Context, q querier) (way sheetImport[trade.Syringe], err error) {
			v, err := g.vocabulary(ctx, q)
			if err != nil {
				return way, err
			}
			known := make(map[string]trade.Syringe)
			for _, s := range v.Syringes {
				known[trade.Fold(s.Name)] = s
			}
			read := func(row sheetRow) (*trade.Syringe, become, error) {
				s, err := readSyringe(row)
				if err != nil {
					return nil, 0, err
				}
				old, there := known[trade.Fold(s.Name)]
				if there {
					if s, err = filledSyringe(old, s); err != nil || s == old {
						return nil, already, err
					}
				}
				known[trade.Fold(s.Name)] = s
				if there {
					return &s, changed, nil
				}
				return &s, added, nil
			}
			return sheetImport[trade.Syringe]{read: read, store: g.storeSyringes, atOnce: namesAtOnce}, nil
		})
}

// storeSyringes stores syringes; one that stands in the file twice, or was added meanwhile,
// is changed the second time.
func (g *Group) storeSyringes(ctx context.Context, q querier, syringes []trade.Syringe) (all []become, err error) {
	for _, s := range syringes {
		put, became := g.insertSyringe, added
		v, err := g.vocabulary(ctx, q)
		if err != nil {
			return nil, err
		}
		if old, there := pick(v.Syringes, v.syringeByKey, trade.Fold(s.Name)); there {
			s.ID, put, became = old.ID, g.updateSyringe, changed
		}
		if _, err := put(ctx, q, s); err != nil {
			return nil, err
		}
		all = append(all, became)
	}
	return all, nil
}

// readSyringe: what the cells leave out is as the name says.
func readSyringe(row sheetRow) (s trade.Syringe, err error) {
	name := row.get("syringe")
	if s, err = trade.ReadSyringe(name); err != nil || name == "" {
		s = trade.Syringe{Name: name}
	}
	s.Name, s.GasML, s.RetiredOn = trade.Tidy(name), 0, row.get(retiredColumn)
	switch row.get("fixed_needle") {
	case "yes":
		s.FixedNeedle = true
	case "no":
		s.FixedNeedle = false
	case "":
	default:
		return s, trade.Refuse("fixed_needle", "%q is neither yes nor no", row.get("fixed_needle"))
	}
	volume, err := readNumberOrBlank("volume_ml", row.get("volume_ml"))
	if err != nil {
		return s, err
	}
	s.VolumeML = cmp.Or(volume, s.VolumeML)
	if s.GasML, err = readNumberOrBlank("gas_ml", row.get("gas_ml")); err != nil {
		return s, err
	}
	if s.Name == "" {
		return s, trade.Refuse("syringe", "is missing")
	}
	if s.RetiredOn != "" {
		if err := trade.CheckDay("retired on", s.RetiredOn); err != nil {
			return s, err
		}
	}
	s = s.Filled()
	return s, s.Validate()
}

// filledSyringe is the syringe on the list with what a file has beyond it.
func filledSyringe(old, s trade.Syringe) (trade.Syringe, error) {
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
