package question

import (
	"strings"
	"sync"
	"testing"

	"holdbench/internal/trade"
)

func TestInchLengthsAreTheTradesMillimetres(t *testing.T) {
	// Common practice, no printed source: what the boxes say in millimetres.
	for text, want := range map[string]float64{
		`5/32"`: 4, `1/4"`: 6, `5/16"`: 8, `3/8"`: 10, `1/2"`: 13, `5/8"`: 16, `3/4"`: 19, `1"`: 25, `1 1/4"`: 32, `1½"`: 38, `2"`: 50, `0.31"`: 8, `.5in`: 13,
		"12.7 mm": 13, "38.1 mm": 38, "25.4mm": 25, "19.05 mm": 19, "0.5 cm": 5, "1.27 cm": 13,
		"three eighths inch": 10,
	} {
		if r := demoIndex().Read("orrick mid 28g needle " + text); r.Outcome != One || r.Instrument.LengthMM != want {
			t.Errorf("%s: %s, want %g mm", text, told(r), want)
		}
	}
}

func TestFoldBringsPhoneCharactersToPlainOnes(t *testing.T) {
	for text, want := range map[string]string{
		"1½″":          `1 1/2"`,
		"½”":           `1/2"`,
		"30×13":        "30 x 13",
		"２７Ｇ":          "27G",
		"or\u00adrick": "orrick",
		"Pellöw":       "Pellow",
		"27–30":        "27-30",
		"13''":         `13"`,
		"10²":          "10 ",
		"0·3":          "0.3",
		"**27G**":      "  27G  ",
		"27G*13":       "27G x 13",
		"٢٧":           "27",
		"ﬁrm":          "firm",
	} {
		if got := fold(text); got != want {
			t.Errorf("fold(%q) = %q, want %q", text, got, want)
		}
	}
}

func TestAnOrdinaryWordIsNeverASlip(t *testing.T) {
	ix := demoIndex()
	for _, w := range strings.Fields("mild form film find fire line sort lift left deed deer keep past taste help " +
		"desk fellow yellow pillow hollow hydrate hydro lid tip slip") {
		if found := ix.options(w); len(found) > 0 {
			t.Errorf("%q may be %v", w, found)
		}
	}
}

func TestEverydayWordsLeaveTheDemonstrationsBrandsAlone(t *testing.T) {
	for _, w := range strings.Fields("orrick tamsel pellow larnoch dunmere hesk hydra quimbleton") {
		if isOrdinary(w) {
			t.Errorf("%q passes for an ordinary word", w)
		}
	}
	if len(everyday) < 2000 || len(sentence) < 800 {
		t.Errorf("%d words, %d of them in the first part", len(everyday), len(sentence))
	}
	for w := range everyday {
		if w != strings.ToLower(w) {
			t.Errorf("%q is not lower case", w)
		}
	}
}

func TestNamesWithNumbersAreNames(t *testing.T) {
	ix := NewIndex([]trade.Product{{ID: 1, Name: "Brix 30"}, {ID: 2, Name: "Brix 24"}, {ID: 3, Name: "Brix"},
		{ID: 4, Name: "Velmar 2 Soft"}}, demoInstruments, demoSyringes)
	for text, want := range map[string]string{
		"brix 30 27g 13mm": "Brix 30", "27g 13mm, brix 24": "Brix 24", "brix 27g 13mm": "Brix",
		"velmar 2 soft 30g 13mm": "Velmar 2 Soft",
	} {
		if r := ix.Read(text); r.Outcome != One || r.Product.Name != want {
			t.Errorf("%q: %s (%s), want %s", text, r.Outcome, told(r), want)
		}
	}
	for _, text := range []string{"brix 30g 13mm or 27g", "brix 25 27g 13mm", "velmar soft 3 30g 13mm"} {
		if r := ix.Read(text); r.Outcome == One {
			t.Errorf("%q answered: %s", text, told(r))
		}
	}
}

func TestANameThatTwoProductsShareIsAChoice(t *testing.T) {
	ix := NewIndex([]trade.Product{{ID: 1, Name: "Brena Mid", Aliases: []string{"brm"}},
		{ID: 2, Name: "Brona Mid", Aliases: []string{"brm"}}}, demoInstruments, demoSyringes)
	for _, text := range []string{"brm 27g 13mm", "brna mid 27g 13mm", "bruna mid 27g 13mm", "mid 27g 13mm"} {
		if r := ix.Read(text); r.Outcome != Choose || len(r.Choices) != 2 {
			t.Errorf("%q: %s (%s)", text, r.Outcome, told(r))
		}
	}
	if r := ix.Read("brena mid 27g 13mm"); r.Outcome != One || r.Product.ID != 1 {
		t.Errorf("%s (%s)", r.Outcome, told(r))
	}
}

func TestAWallClassTellsListedTwinsApart(t *testing.T) {
	twins := []trade.Instrument{{ID: 1, Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: "thin"},
		{ID: 2, Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: "ultra-thin"},
		{ID: 3, Kind: trade.Needle, Gauge: 31, LengthMM: 8}}
	ix := NewIndex(demoProducts, twins, demoSyringes)
	for text, want := range map[string]trade.Instrument{
		"orrick mid 30g 13mm UTW":          twins[1],
		"orrick mid 30g 13mm thin wall":    twins[0],
		"orrick mid 30g 13mm regular wall": {Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: "regular"},
		"orrick mid 31g 8mm":               twins[2],
		"orrick mid 31g 8mm thin wall":     twins[2], // thin is what is assumed where nothing is recorded
		"orrick mid 31g 8mm ultra thin":    {Kind: trade.Needle, Gauge: 31, LengthMM: 8, Wall: "ultra-thin"},
	} {
		if r := ix.Read(text); r.Outcome != One || r.Instrument != want {
			t.Errorf("%q: %s (%s), want %v", text, r.Outcome, told(r), want)
		}
	}
	if r := ix.Read("orrick mid 30g 13mm"); r.Outcome != Choose || len(r.Choices) != 2 {
		t.Errorf("twins without a wall class: %s (%s)", r.Outcome, told(r))
	}
}

func TestASizeListedAsBothKindsIsAChoice(t *testing.T) {
	ix := NewIndex(demoProducts, []trade.Instrument{{ID: 1, Kind: trade.Needle, Gauge: 25, LengthMM: 38},
		{ID: 2, Kind: trade.Cannula, Gauge: 25, LengthMM: 38}}, demoSyringes)
	if r := ix.Read("orrick mid 25g 38mm"); r.Outcome != Choose || len(r.Choices) != 2 {
		t.Errorf("%s (%s)", r.Outcome, told(r))
	}
	if r := ix.Read("orrick mid 25g 38mm cannula"); r.Outcome != One || r.Instrument.ID != 2 {
		t.Errorf("%s (%s)", r.Outcome, told(r))
	}
}

func TestANewCommunityWithoutListsIsAnswered(t *testing.T) {
	ix := NewIndex(demoProducts, nil, nil)
	r := ix.Read("orrick mid 27g 13mm")
	if r.Outcome != One || r.Instrument != (trade.Instrument{Kind: trade.Needle, Gauge: 27, LengthMM: 13}) ||
		r.Syringe.Name != trade.Supplied {
		t.Errorf("%s (%s)", r.Outcome, told(r))
	}
	if r := ix.Read("orrick mid 27g"); r.Outcome != Unclear || !strings.Contains(r.Problem, "length") {
		t.Errorf("%s: %s", r.Outcome, r.Problem)
	}
	if r := NewIndex(nil, nil, nil).Read("orrick mid 27g 13mm"); r.Outcome != Unclear {
		t.Errorf("no products: %s", r.Outcome)
	}
}

func TestTheUnreadNameIsNamedAndSafeToShow(t *testing.T) {
	r := demoIndex().Read("hold time for Quimbleton Max on 30G 13mm")
	if r.Outcome != Unclear || !strings.Contains(r.Problem, "Quimbleton Max") ||
		!strings.Contains(r.Hint, "Larnoch Hydra, 27G 13 mm needle") {
		t.Errorf("%s: %s %s", r.Outcome, r.Problem, r.Hint)
	}
	r = demoIndex().Read("27g 13mm " + strings.Repeat("zq", 500))
	if len(r.Problem) > 200 {
		t.Errorf("quotes %d bytes back", len(r.Problem))
	}
}

func TestAnIndexMayBeReadByManyAtOnce(t *testing.T) {
	ix := demoIndex()
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for _, text := range benchTexts {
				ix.Read(text)
			}
		})
	}
	wg.Wait()
}
