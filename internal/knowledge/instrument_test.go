package knowledge

import (
	"errors"
	"testing"

	"holdbench/internal/trade"
)

func TestInstrumentsThatCannotBeAreRefused(t *testing.T) {
	t.Parallel()
	g := found(t, openStore(t), "local")
	good := needle(30, 13)
	for field, change := range map[string]func(*trade.Instrument){
		"kind":       func(i *trade.Instrument) { i.Kind = "spoon" },
		"gauge":      func(i *trade.Instrument) { i.Gauge = 5 },
		"length":     func(i *trade.Instrument) { i.LengthMM = -1 },
		"wall class": func(i *trade.Instrument) { i.Wall = "paper" },
		"bore":       func(i *trade.Instrument) { i.BoreMM = 5 },
		"hub length": func(i *trade.Instrument) { i.HubMM = -1 },
	} {
		i := good
		change(&i)
		_, err := g.AddInstrument(t.Context(), i)
		refused(t, err, field)
	}
	_, err := g.AddInstrument(t.Context(), trade.Instrument{Kind: trade.Needle, Gauge: 17, LengthMM: 13})
	refused(t, err, "gauge") // no bore known
	must(g.AddInstrument(t.Context(), good))(t)
	good.Wall = "" // goes by the same name
	if _, err := g.AddInstrument(t.Context(), good); !errors.Is(err, ErrDuplicate) {
		t.Errorf("got %v", err)
	}
	if _, err := g.Instrument(t.Context(), "27G 13 mm needle"); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}
