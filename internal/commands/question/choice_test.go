package question

import (
	"strings"
	"testing"

	"holdbench/internal/trade"

	"pgregory.net/rapid"
)

// mostSteps is how many choices it may take to get from a question with much
// left open to one combination: product, instrument, syringe, hold, pull.
const mostSteps = 6

// followed reads each choice of r again and demands that it leads to One.
func followed(t interface {
	Helper()
	Fatalf(string, ...any)
}, ix *Index, from string, r Reading, steps int) {
	t.Helper()
	if len(r.Choices) == 0 || len(r.Choices) > MaxChoices || r.Problem == "" || r.Hint == "" {
		t.Fatalf("%q: %d choices, problem %q, hint %q", from, len(r.Choices), r.Problem, r.Hint)
	}
	for i, c := range r.Choices {
		next := ix.ReadQuestion(c.Along, c.Stated)
		switch {
		case next.Outcome == One:
			want := next.Product.Name + ", " + ix.InstrumentName(next.Instrument)
			if !strings.HasPrefix(withoutThin(c.Label), withoutThin(want)) {
				t.Fatalf("%q: choice %q reads as %s", from, c.Label, told(next))
			}
		case next.Outcome == Unclear || steps == 0 || next.Problem == r.Problem:
			t.Fatalf("%q: choice %q reads as %s (%s)", from, c.Label, next.Outcome, told(next))
		case i < 3:
			followed(t, ix, c.Along, next, steps-1)
		}
	}
}

// withoutThin leaves out the wall class that goes without saying.
func withoutThin(label string) string { return strings.Replace(label, " thin wall", "", 1) }

func TestEveryChoiceOfEveryQuestionLeadsToOneCombination(t *testing.T) {
	ix := demoIndex()
	n := 0
	for _, path := range []string{"testdata/questions.jsonl", "testdata/breakers.jsonl"} {
		for _, q := range readAsked(t, path) {
			if r := ix.ReadQuestion(q.Text, Stated{}); r.Outcome == Choose {
				n++
				followed(t, ix, q.Text, r, mostSteps)
			}
		}
	}
	if n < 150 {
		t.Errorf("only %d questions with choices", n)
	}
}

// TestChoicesOfHalfQuestionsLeadToOneCombination leaves parts out, says parts
// twice, and lists instruments that differ in wall class or kind only.
func TestChoicesOfHalfQuestionsLeadToOneCombination(t *testing.T) {
	twins := append([]trade.Instrument{
		{ID: 21, Kind: trade.Needle, Gauge: 30, LengthMM: 13, Wall: "ultra-thin"},
		{ID: 22, Kind: trade.Needle, Gauge: 29, LengthMM: 13}, {ID: 23, Kind: trade.Needle, Gauge: 25, LengthMM: 38,
			Wall: "regular"},
		{ID: 24, Kind: trade.Needle, Gauge: 31, LengthMM: 8, Wall: "regular"},
		{ID: 25, Kind: trade.Needle, Gauge: 33, LengthMM: 12.7},
	}, demoInstruments...)
	indexes := []*Index{demoIndex(), NewIndex(demoProducts, twins, demoSyringes),
		NewIndex(demoProducts[:1], twins[:1], demoSyringes[:1])}
	parts := map[string][]string{
		"product": {"", "orrick mid", "orrick", "hesk", "hesk 1:2", "orrick mid or firm", "deep", "Orrick Max",
			"soft", "tamsel soft", "hesk diluted and neat"},
		"gauge":  {"", "30g", "27g", "27g or 30g", "26G", "29g", "25g", "31g", "33g"},
		"length": {"", "13mm", "½ inch", "38mm", "8mm", "3/16\"", "13mm or 19mm", "25 mm", "12.7mm"},
		"kind":   {"", "needle", "cannula", "needle or cannula"},
		"wall":   {"", "", "thin wall", "ultra thin wall", "thin wall or UTW"},
		"syringe": {"", "", "insulin syringe", "0.3 ml insulin syringe", "0.25 ml insulin syringe",
			"supplied syringe or 0.5 ml insulin syringe"},
		"hold": {"", "", "by 10 s", "5 or 10 s"},
		"pull": {"", "", "pull 0.2 ml", "pull 0.1 or 0.2 ml"},
	}
	order := []string{"product", "gauge", "length", "wall", "kind", "syringe", "hold", "pull"}
	outcomes := map[Outcome]int{}
	rapid.Check(t, func(t *rapid.T) {
		for range 20 {
			ix := indexes[rapid.IntRange(0, len(indexes)-1).Draw(t, "index")]
			var said []string
			for _, part := range order {
				if p := one(t, part, parts[part]); p != "" {
					said = append(said, p)
				}
			}
			text := strings.Join(said, ", ")
			r := ix.ReadQuestion(text, Stated{})
			outcomes[r.Outcome]++
			if r.Outcome == Choose {
				followed(t, ix, text, r, mostSteps)
			}
		}
	})
	if outcomes[Choose] < 200 || outcomes[One] == 0 {
		t.Errorf("outcomes %v: too few choices to prove anything", outcomes)
	}
}
