package question

import (
	"testing"

	"holdbench/internal/trade"
)

// What each turn is about is what a practitioner would take it for.
func TestAFollowUpIsAboutTheLastCombination(t *testing.T) {
	ix := demoIndex()
	mid := trade.Combination{Product: demoProducts[4], Instrument: demoInstruments[0]} // Orrick Mid, 27G 13 mm needle
	fine := trade.Combination{Product: demoProducts[1], Instrument: demoInstruments[0]}
	for _, c := range []struct {
		text string
		last trade.Combination
		want string // kind, combination, or how many options
		pull float64
	}{
		{"and on 30g?", mid, "another Orrick Mid, 30G 13 mm needle, supplied syringe", 0},
		{"and the 31?", fine, "another Tamsel Fine, 31G 8 mm needle, supplied syringe", 0},
		{"no, the 30", mid, "another Orrick Mid, 30G 13 mm needle, supplied syringe", 0},
		{"the cannula?", mid, "another Orrick Mid, 27G 38 mm cannula, supplied syringe", 0},
		{"and with a cannula", mid, "another Orrick Mid, 27G 38 mm cannula, supplied syringe", 0},
		{"30g 4mm?", mid, "another Orrick Mid, 30G 4 mm needle, supplied syringe", 0},
		{"on 19 mm", mid, "another Orrick Mid, 27G 19 mm needle, supplied syringe", 0},
		{"same but 0.2 ml", mid, "another Orrick Mid, 27G 13 mm needle, supplied syringe", 0.2},
		{"same at .2", mid, "another Orrick Mid, 27G 13 mm needle, supplied syringe", 0.2},
		{"same but pulling 0.05 ml", mid, "another Orrick Mid, 27G 13 mm needle, supplied syringe", 0.05},
		{"and firm?", mid, "another Orrick Firm, 27G 13 mm needle, supplied syringe", 0},
		{"what about orrick firm", mid, "another Orrick Firm, 27G 13 mm needle, supplied syringe", 0},
		{"and tamsel soft?", mid, "another Tamsel Soft, 27G 13 mm needle, supplied syringe", 0},
		{"why", mid, "why", 0}, {"why?", mid, "why", 0}, {"how come", mid, "why", 0},
		{"who tested that", mid, "who", 0}, {"who tested it?", mid, "who", 0}, {"whose tests are these", mid, "who", 0},
		{"is 8 s enough", mid, "enough", 0}, {"is 8 enough?", mid, "enough", 0}, {"8 s ok?", mid, "enough", 0},
		{"log 6.2", mid, "log", 0}, {"log none in 30", mid, "log", 0}, {"log 12.5 s", mid, "log", 0},
		{"and on a cannula instead", fine, "another Tamsel Fine, 27G 38 mm cannula, supplied syringe", 0},
	} {
		f, ok := ix.ReadFollowUp(c.text, c.last)
		got := string(f.Kind)
		if f.Kind == Another {
			got += " " + f.Asked.String()
		}
		if !ok || got != c.want || f.PullML != c.pull {
			t.Errorf("%q: %v, %q, pull %v, options %v; want %q", c.text, ok, got, f.PullML, f.Options, c.want)
		}
	}
	for _, text := range []string{"", "hello", "thanks", "and on quimbleton?", "log orrick mid 27g 13mm 6.2", "and her lips?", "not the 27", "and on 300g", "and the 5?", "undo", "lip gone white"} {
		if f, ok := ix.ReadFollowUp(text, mid); ok {
			t.Errorf("%q was read as %+v", text, f)
		}
	}
	if f, ok := ix.ReadFollowUp("and on 22g or 25g", mid); ok && len(f.Options) == 0 {
		t.Errorf("two gauges were read as %s", f.Asked)
	}
}
