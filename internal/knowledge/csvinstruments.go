package knowledge

import (
	"context"
	"io"
	"strconv"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// fileInstrument is a line of a file of instruments.
type fileInstrument struct {
	trade.Instrument
	named string // the name in the line; the other columns say the same
}

// instrumentTable: the hub is written only if some instrument has another than calc.HubLength.
func instrumentTable() table[fileInstrument] {
	return table[fileInstrument]{
		{name: "name", optional: true, write: func(i *fileInstrument) string { return i.Name() },
			read: func(i *fileInstrument, cell string) error { i.named = cell; return nil }},
		{name: "kind", write: func(i *fileInstrument) string { return string(i.Kind) },
			read: func(i *fileInstrument, cell string) error { i.Kind = trade.Kind(strings.ToLower(cell)); return nil }},
		{name: "gauge", write: func(i *fileInstrument) string { return strconv.Itoa(i.Gauge) }, read: readGauge},
		number("length_mm", func(i *fileInstrument) *float64 { return &i.LengthMM }),
		{name: "wall", optional: true, write: func(i *fileInstrument) string { return string(i.Wall) },
			read: func(i *fileInstrument, cell string) error {
				i.Wall = calc.WallClass(strings.ToLower(cell))
				return nil
			}},
		numberIfKnown("bore_mm", func(i *fileInstrument) *float64 { return &i.BoreMM }),
		numberIfKnown("hub_mm", func(i *fileInstrument) *float64 { return &i.HubMM }).onlyWhere(
			func(i *fileInstrument) bool { return i.HubMM != calc.HubLength.Millimetres() }),
		retired(func(i *fileInstrument) *string { return &i.RetiredOn }),
	}
}

func readGauge(i *fileInstrument, cell string) (err error) {
	if i.Gauge, err = strconv.Atoi(cell); err != nil {
		err = trade.Refuse("gauge", "%q is not a whole number", cell)
	}
	return err
}

func exportInstruments(w io.Writer, all []trade.Instrument) error {
	lines := make([]fileInstrument, len(all))
	for i, instrument := range all {
		lines[i].Instrument = instrument
	}
	return instrumentTable().writeTo(w, lines)
}

func (g *Group) prepareInstruments(ctx context.Context,
	q querier) (in fileImport[fileInstrument, planned[trade.Instrument]], err error) {
	list, err := g.instrumentList().importOf(ctx, q, g, completedInstrument)
	if err != nil {
		return in, err
	}
	in.table, in.store = instrumentTable(), list.store
	in.plan = func(i fileInstrument) (*planned[trade.Instrument], become, error) {
		if err := i.Validate(); err != nil {
			return nil, 0, err
		}
		if i.named != "" && trade.Fold(i.named) != instrumentKey(i.Instrument) {
			return nil, 0, trade.Refuse("name", "%q is not what the other columns say, %s", i.named, i.Name())
		}
		return list.plan(i.Instrument)
	}
	return in, nil
}

// completedInstrument is the instrument on the list with what a file has beyond it.
func completedInstrument(old, i trade.Instrument) (trade.Instrument, error) {
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
