package knowledge

import (
	"context"
	"io"
	"strconv"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// instrumentColumns: the hub column is written only where some instrument has
// another hub than calc.HubLength.
func instrumentColumns(withHub bool) []column {
	columns := []column{{"name", true}, {name: "kind"}, {name: "gauge"}, {name: "length_mm"}, {"wall", true}, {"bore_mm", true}}
	if withHub {
		columns = append(columns, column{"hub_mm", true})
	}
	return columns
}

// ExportInstruments writes the needles and cannulas in the order added.
func (g *Group) ExportInstruments(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export instruments")
	instruments, err := g.Instruments(ctx)
	if err != nil {
		return err
	}
	withHub := false
	for _, i := range instruments {
		withHub = withHub || i.HubMM != calc.HubLength.Millimetres()
	}
	sheet := newSheetWriter(w, instrumentColumns(withHub))
	for _, i := range instruments {
		cells := []string{i.Name(), string(i.Kind), strconv.Itoa(i.Gauge), trade.Number(i.LengthMM), string(i.Wall), numberOrBlank(i.BoreMM)}
		if withHub {
			cells = append(cells, trade.Number(i.HubMM))
		}
		sheet.row(cells...)
	}
	return sheet.close()
}

// ImportInstruments adds the needles and cannulas of a file. One that is on the
// list already gets the wall class, the bore and the hub that were not recorded
// yet; a file that contradicts what is recorded is at fault there.
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportInstruments(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import instruments")
	return g.importSheet(ctx, r, instrumentColumns(true), skipBad, func(ctx context.Context, q querier) (func(sheetRow) (become, error), error) {
		return func(row sheetRow) (become, error) {
			i, err := readInstrument(row)
			if err != nil {
				return 0, err
			}
			v, err := g.vocabulary(ctx, q)
			if err != nil {
				return 0, err
			}
			return g.importInstrument(ctx, q, v, i)
		}, nil
	})
}

func readInstrument(row sheetRow) (i trade.Instrument, err error) {
	i.Kind, i.Wall = trade.Kind(strings.ToLower(row.get("kind"))), calc.WallClass(strings.ToLower(row.get("wall")))
	if i.Gauge, err = strconv.Atoi(row.get("gauge")); err != nil {
		return i, trade.Refuse("gauge", "%q is not a whole number", row.get("gauge"))
	}
	if i.LengthMM, err = trade.ReadNumber("length_mm", row.get("length_mm")); err != nil {
		return i, err
	}
	if i.BoreMM, err = readNumberOrBlank("bore_mm", row.get("bore_mm")); err != nil {
		return i, err
	}
	if i.HubMM, err = readNumberOrBlank("hub_mm", row.get("hub_mm")); err != nil {
		return i, err
	}
	if err := i.Validate(); err != nil {
		return i, err
	}
	if name := row.get("name"); name != "" && trade.Fold(name) != instrumentKey(i) {
		return i, trade.Refuse("name", "%q is not what the other columns say, %s", name, i.Name())
	}
	return i, nil
}

// importInstrument adds an instrument or fills in what was not recorded of it.
func (g *Group) importInstrument(ctx context.Context, q querier, v *Vocabulary, i trade.Instrument) (become, error) {
	old, listed := v.Instrument(i)
	if !listed {
		_, err := g.addInstrument(ctx, q, i)
		return added, err
	}
	merged := old
	if merged.Wall == "" {
		merged.Wall = i.Wall
	}
	if merged.BoreMM == 0 {
		merged.BoreMM = i.BoreMM
	}
	if i.HubMM != 0 && merged.HubMM == calc.HubLength.Millimetres() {
		merged.HubMM = i.HubMM
	}
	switch {
	case i.Wall != "" && i.Wall != merged.Wall:
		return 0, trade.Refuse("wall", "%s is recorded as %s wall, not %s", old.Name(), merged.Wall, i.Wall)
	case i.BoreMM != 0 && i.BoreMM != merged.BoreMM:
		return 0, trade.Refuse("bore", "%s is recorded with %s mm, not %s", old.Name(), trade.Number(merged.BoreMM), trade.Number(i.BoreMM))
	case i.HubMM != 0 && i.HubMM != merged.HubMM:
		return 0, trade.Refuse("hub length", "%s is recorded with %s mm, not %s", old.Name(), trade.Number(merged.HubMM), trade.Number(i.HubMM))
	case merged == old:
		return already, nil
	}
	_, err := g.updateInstrument(ctx, q, merged)
	return changed, err
}

// numberOrBlank writes 0, which stands for "not recorded", as nothing.
func numberOrBlank(v float64) string {
	if v == 0 {
		return ""
	}
	return trade.Number(v)
}

func readNumberOrBlank(field, text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	return trade.ReadNumber(field, text)
}
