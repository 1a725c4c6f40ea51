package knowledge

import (
	"context"
	"io"
	"strconv"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// instrumentTable: the hub is written only where some instrument has another than calc.HubLength.
func instrumentTable() table[trade.Instrument] {
	return table[trade.Instrument]{
		{"name", true, trade.Instrument.Name, nil},
		{"kind", false, func(i trade.Instrument) string { return string(i.Kind) }, nil},
		{"gauge", false, func(i trade.Instrument) string { return strconv.Itoa(i.Gauge) }, nil},
		{"length_mm", false, func(i trade.Instrument) string { return trade.Number(i.LengthMM) }, nil},
		{"wall", true, func(i trade.Instrument) string { return string(i.Wall) }, nil},
		{"bore_mm", true, func(i trade.Instrument) string { return numberOrBlank(i.BoreMM) }, nil},
		{"hub_mm", true, func(i trade.Instrument) string { return trade.Number(i.HubMM) },
			func(i trade.Instrument) bool { return i.HubMM != calc.HubLength.Millimetres() }},
		retired(func(i trade.Instrument) string { return i.RetiredOn }),
	}
}

// ExportInstruments writes the needles and cannulas in the order added.
func (g *Group) ExportInstruments(ctx context.Context, w io.Writer) (err error) {
	defer wrap(&err, "export instruments")
	instruments, err := g.Instruments(ctx)
	if err != nil {
		return err
	}
	return instrumentTable().write(w, instruments)
}

// ImportInstruments adds the needles and cannulas of a file. One that is on the
// list already gets the wall class, the bore and the hub that were not recorded
// yet; a file that contradicts what is recorded is at fault there. What is in use stays
// in use, as of products.
//
// Faults come back in the report with nothing stored, unless skipBad is set.
func (g *Group) ImportInstruments(ctx context.Context, r io.Reader, skipBad bool) (report ImportReport, err error) {
	defer wrap(&err, "import instruments")
	return g.importInstruments(ctx, tableOf(r), Importing{SkipBad: skipBad})
}

func (g *Group) importInstruments(ctx context.Context, open source, how Importing) (ImportReport, error) {
	return importSheet(ctx, g, open, instrumentTable().columns(), how,
		func(ctx context.Context, q querier) (sheetImport[*plannedInstrument], error) {
			v, err := g.vocabulary(ctx, q)
			in := instrumentImport{g: g, known: make(map[string]*plannedInstrument)}
			if err == nil {
				for _, i := range v.Instruments {
					in.known[instrumentKey(i)] = &plannedInstrument{Instrument: i}
				}
			}
			return sheetImport[*plannedInstrument]{read: in.row, store: in.store, atOnce: namesAtOnce}, err
		})
}

// instrumentImport is a file of instruments on its way into the store.
type instrumentImport struct {
	g     *Group
	known map[string]*plannedInstrument // by instrumentKey
}

// plannedInstrument is an instrument of the list or of the file.
type plannedInstrument struct {
	trade.Instrument
	waits bool // it waits to be stored
}

// row plans to add an instrument, or to fill in what was not recorded of it.
func (in *instrumentImport) row(row sheetRow) (*(*plannedInstrument), become, error) {
	i, err := readInstrument(row)
	if err != nil {
		return nil, 0, err
	}
	old := in.known[instrumentKey(i)]
	if old == nil {
		old = &plannedInstrument{Instrument: i.Filled(), waits: true}
		in.known[instrumentKey(i)] = old
		return &old, 0, nil
	}
	merged, err := completed(old.Instrument, i)
	if err != nil || merged == old.Instrument {
		return nil, already, err
	}
	old.Instrument = merged
	if old.waits {
		return nil, changed, nil // as part of what is to be stored
	}
	old.waits = true
	return &old, changed, nil
}

func (in *instrumentImport) store(ctx context.Context, q querier, instruments []*plannedInstrument) (all []become,
	err error) {
	for _, i := range instruments {
		put, became := in.g.updateInstrument, changed
		if i.ID == 0 {
			put, became = in.g.addInstrument, added
		}
		if i.Instrument, err = put(ctx, q, i.Instrument); err != nil {
			return nil, err
		}
		i.waits = false
		all = append(all, became)
	}
	return all, nil
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
	i.RetiredOn = row.get(retiredColumn)
	if err := i.Validate(); err != nil {
		return i, err
	}
	if name := row.get("name"); name != "" && trade.Fold(name) != instrumentKey(i) {
		return i, trade.Refuse("name", "%q is not what the other columns say, %s", name, i.Name())
	}
	return i, nil
}

// completed is the instrument on the list with what a file has beyond it.
func completed(old, i trade.Instrument) (trade.Instrument, error) {
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
		return old, trade.Refuse("wall", "%s is recorded as %s wall, not %s", old.Name(), merged.Wall, i.Wall)
	case i.BoreMM != 0 && i.BoreMM != merged.BoreMM:
		return old, trade.Refuse("bore", "%s is recorded with %s mm, not %s", old.Name(), trade.Number(merged.BoreMM),
			trade.Number(i.BoreMM))
	case i.HubMM != 0 && i.HubMM != merged.HubMM:
		return old, trade.Refuse("hub length", "%s is recorded with %s mm, not %s", old.Name(),
			trade.Number(merged.HubMM), trade.Number(i.HubMM))
	}
	return merged, nil
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
