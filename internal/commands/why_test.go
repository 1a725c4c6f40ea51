package commands

import (
	"math"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// The card says what calc works out, whatever the combination of the demo: an
// untested one is marked, what never comes gets no time, and milk is judged as the
// answer on a hold judges it.
func TestWhyOverTheDemo(t *testing.T) {
	env := demoEnv(t)
	v, err := env.Group.Vocabulary(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for i, p := range v.Products {
		for j, tube := range v.Instruments {
			if (i+j)%3 != 0 { // a third of them is enough to see every kind
				continue
			}
			e, err := env.Group.Evidence(t.Context(), trade.Combination{Product: p, Instrument: tube}, 0)
			if err != nil {
				t.Fatal(err)
			}
			pace, err := e.Why(usualLiquidC)
			if err != nil {
				t.Fatal(err)
			}
			o := newOutlook(e, 0)
			text := whyCard(e, o, pace).Text()
			plain := strings.Join(strings.Fields(text), " ")
			hold := strings.Join(holdCard(e, o, viewer{}).Warnings, " ")
			if strings.HasPrefix(text, "UNTESTED  ") == e.Tested ||
				strings.Contains(plain, "Its own tests") != e.Tested || !strings.Contains(plain, "By the model ") {
				t.Errorf("tested %t:\n%s", e.Tested, text)
			}
			if strings.Contains(hold, "no fair stand-in") && !strings.Contains(plain, "Milk is no fair stand-in") {
				t.Errorf("the hold says %q, this\n%s", hold, text)
			}
			if never := strings.Contains(plain, "it never comes"); never != pace.Exit.Never() {
				t.Errorf("never %t:\n%s", pace.Exit.Never(), text)
			}
			for _, c := range pace.Changes {
				if !strings.Contains(plain, pacedLabel(c)+": ") {
					t.Errorf("%s is missing:\n%s", c.Kind, text)
				}
			}
			for _, word := range []string{"sets the pace", "both slow it", "slows it much", "no fair stand-in",
				"is a fair stand-in"} {
				seen[word] = seen[word] || strings.Contains(plain, word)
			}
		}
	}
	for word, is := range seen {
		if !is {
			t.Errorf("%q is never said over the demo", word)
		}
	}
}

func TestWhyOfWhatNeverComes(t *testing.T) {
	e := madeEvidence(t, calc.CaHAPaste, 10, 0.9, math.Inf(1), math.Inf(1), math.Inf(1))
	e.Setup.Tube.Length = 100 * calc.Millimetre
	never := calc.Exit{Time: calc.Seconds(math.Inf(1))}
	p := &calc.Pace{Exit: never, Held: 1.3, Blood: calc.StandIn{Ratio: 1, Fair: true},
		Changes: []calc.Change{
			{Kind: calc.HalfLength, Exit: calc.Exit{Time: 34.2}},
			{Kind: calc.WarmerMilk, Milk: 30, Exit: never, TimeRatio: 1},
		}}
	wants(t, whyCard(e, newOutlook(e, 0), p).Text(), "By the model it never comes: the gel's yield stress takes up "+
		"more than all of",
		"Gel: its yield stress alone takes up 130 in 100 of the suction", "Half the length: it would come, in 34 s",
		"30 °C: it would not come either", "neither milk nor blood")
	p.Held = 0.97
	wants(t, paceWords(e, p), "the suction gives out on the way")
}

func TestWhatSlowsACombination(t *testing.T) {
	for want, f := range map[string]calc.Factors{
		"the needle sets the pace":                     {Setup: 5, Gel: 0.7, Ok: true},
		"the gel sets the pace":                        {Setup: 1.2, Gel: 3, Ok: true},
		"needle and gel both slow it, the needle more": {Setup: 5, Gel: 2, Ok: true},
		"needle and gel both slow it, the gel more":    {Setup: 2, Gel: 5, Ok: true},
		"neither needle nor gel slows it much":         {Setup: 1.1, Gel: 0.3, Ok: true},
		"needle and gel together slow it":              {},
	} {
		if got := slowedBy(f, "needle"); got != want {
			t.Errorf("%+v: %q, want %q", f, got, want)
		}
	}
	for r, want := range map[float64]string{0.0567: "0.057", 0.1249: "0.12", 1.06: "1.1", 22.6: "23", 142: "140",
		0: "0", 0.00345: "0.0035"} {
		if got := factorWords(r); got != want {
			t.Errorf("%g: %q, want %q", r, got, want)
		}
	}
	for part, want := range map[float64]string{0.0049: "under 1 in 100", 0.005: "1 in 100", 0.877: "88 in 100",
		1: "100 in 100"} {
		if got := inHundred(part); got != want {
			t.Errorf("%g: %q, want %q", part, got, want)
		}
	}
}

// The button on an answer leads to the pace of just that combination.
func TestTheHoldLeadsToThePace(t *testing.T) {
	env := demoEnv(t)
	hold := says(t, env, askingMember, "orrick mid 27g 13mm")
	for _, a := range pressed(t, env, hold, askingMember, "more").Actions {
		if a.Request.Command != whyName {
			continue
		}
		r := a.Request.Short()
		r.Asker = askingMember
		if c := Answer(t.Context(), env, r); c.Title != "Orrick Mid, 27G 13 mm needle, thin wall" ||
			!strings.HasPrefix(c.Verdict, "By the model") {
			t.Errorf("%s", c.Text())
		}
		return
	}
	t.Error("no button leads to it")
}
