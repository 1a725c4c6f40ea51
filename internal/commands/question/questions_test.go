package question

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
)

// asked is one question as people type it, with what a practitioner would
// expect back.
type asked struct {
	Text     string  `json:"text"`
	Expect   string  `json:"expect"` // answer, choose, refuse, answer_or (asking is right, too)
	Product  string  `json:"product"`
	Kind     string  `json:"kind"`
	Gauge    int     `json:"gauge"`
	LengthMM float64 `json:"length_mm"`
	Syringe  string  `json:"syringe"`
	Wall     string  `json:"wall"`      // as said; "" not said
	ByS      float64 `json:"by_s"`      // 0: none named
	PullML   float64 `json:"pull_ml"`   // 0: none named
	Offers   string  `json:"offers"`    // a label that must be among the choices
	OnlyBy   string  `json:"only_from"` // every choice must begin with this
}

func readAsked(t testing.TB, path string) []asked {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var all []asked
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		if len(strings.TrimSpace(lines.Text())) == 0 {
			continue
		}
		var q asked
		dec := json.NewDecoder(strings.NewReader(lines.Text()))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&q); err != nil {
			t.Fatalf("%s: %v: %s", path, err, lines.Text())
		}
		all = append(all, q)
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return all
}

func TestQuestionsAreReadAsAPractitionerWould(t *testing.T) {
	ix := demoIndex()
	for path, atLeast := range map[string]int{"testdata/questions.jsonl": 390, "testdata/breakers.jsonl": 430,
		"testdata/thumbs.jsonl": 115, "testdata/blind.jsonl": 366,
		"testdata/tongues.jsonl": 60, "testdata/mixed.jsonl": 100, "testdata/busy.jsonl": 80, "testdata/later.jsonl": 60,
		"testdata/company.jsonl": 75} {
		all := readAsked(t, path)
		if len(all) < atLeast {
			t.Errorf("%s has %d questions, want %d or more", path, len(all), atLeast)
		}
		for _, q := range all {
			if fault := q.faultIn(ix.ReadQuestion(q.Text, Stated{})); fault != "" {
				t.Errorf("%q: %s", q.Text, fault)
			}
		}
	}
}

// faultIn says what is wrong with a reading, or "".
func (q asked) faultIn(r Reading) string {
	if q.Expect == "answer_or" {
		if r.Outcome == Choose {
			return ""
		}
		q.Expect = "answer"
	}
	want := map[string]Outcome{"answer": One, "choose": Choose, "refuse": Unclear}[q.Expect]
	if r.Outcome != want {
		return fmt.Sprintf("outcome %s (%s), want %s", r.Outcome, told(r), q.Expect)
	}
	if want == Choose {
		return q.faultInChoices(r.Choices)
	}
	if want == Unclear {
		return ""
	}
	got := asked{Text: q.Text, Expect: q.Expect, Product: r.Product.Name, Kind: string(r.Instrument.Kind),
		Gauge:    r.Instrument.Gauge,
		LengthMM: r.Instrument.LengthMM, Syringe: r.Syringe.Name, ByS: r.BySeconds, PullML: r.PullML}
	if r.WallSaid {
		got.Wall = string(r.Instrument.Wall)
	}
	if got != q {
		return fmt.Sprintf("got %+v, want %+v", got, q)
	}
	return ""
}

func (q asked) faultInChoices(choices []Choice) string {
	offered := q.Offers == ""
	for _, c := range choices {
		offered = offered || c.Label == q.Offers
		if !strings.HasPrefix(c.Label, q.OnlyBy) {
			return fmt.Sprintf("offers %q, want only %s", c.Label, q.OnlyBy)
		}
	}
	if !offered {
		return fmt.Sprintf("offers %v, want %q among them", choices, q.Offers)
	}
	return ""
}

// told sums a reading up for a failure's message.
func told(r Reading) string {
	if r.Outcome == One {
		return fmt.Sprintf("%s, %v, %s", r.Product.Name, r.Instrument, r.Syringe.Name)
	}
	return fmt.Sprintf("%s %d choices", r.Problem, len(r.Choices))
}
