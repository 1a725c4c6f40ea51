package question

import (
	"bufio"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"holdbench/internal/trade"
)

// continued is a short text after a question, and what a practitioner would take it for.
type continued struct {
	Last   string  `json:"last"`
	Text   string  `json:"text"`
	Ask    Ask     `json:"ask"` // "" for a question of its own
	Is     string  `json:"is"`  // the combination, where one is clear
	Open   int     `json:"open"`
	PullML float64 `json:"pull_ml"`
	ByS    float64 `json:"by_s"`
	Result float64 `json:"result_s"`
	Watch  float64 `json:"watched_s"`
}

func TestShortTextsAreReadAsAboutTheLastCombination(t *testing.T) {
	ix := demoIndex()
	file, err := os.Open("testdata/followups.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	n := 0
	for lines := bufio.NewScanner(file); lines.Scan(); n++ {
		var want continued
		if err := json.Unmarshal(lines.Bytes(), &want); err != nil {
			t.Fatalf("%s: %v", lines.Text(), err)
		}
		last := ix.Read(want.Last)
		if last.Outcome != One {
			t.Fatalf("%q is no combination", want.Last)
		}
		got, is := ix.ReadFollowUp(want.Text, last.Combination())
		if is != (want.Ask != "") {
			t.Errorf("%q after %q: a follow-up %t", want.Text, want.Last, is)
			continue
		}
		var names []string
		for _, o := range got.Options {
			names = append(names, o.String())
		}
		clear := len(names) == 1 && strings.HasPrefix(names[0], want.Is)
		if is && (got.Ask != want.Ask || want.Open == 0 && !clear || want.Open > 0 && len(names) != want.Open ||
			(got.Problem == "") != (len(names) == 1) ||
			got.PullML != want.PullML || got.BySeconds != want.ByS || got.Result != want.Result ||
			got.WatchedS != want.Watch) {
			t.Errorf("%q after %q:\ngot  %s %v %q pull %g by %g result %g in %g\nwant %+v", want.Text, want.Last,
				got.Ask, names, got.Problem, got.PullML, got.BySeconds, got.Result, got.WatchedS, want)
		}
	}
	if n < 60 {
		t.Errorf("%d lines", n)
	}
}

// What stood in a follow-up's place is on the list no more.
func TestNothingIsAboutAProductThatIsGone(t *testing.T) {
	ix := demoIndex()
	gone := trade.Combination{Product: trade.Product{ID: 99, Name: "Gone"}}
	if f, is := ix.ReadFollowUp("and on 30g?", gone); is {
		t.Errorf("%+v", f)
	}
}

// A word that two gels' names share names neither: a text with it is no question about the last gel.
func TestAWordOfAnotherNameIsNotAboutTheLastGel(t *testing.T) {
	gels := []trade.Product{
		{ID: 1, Name: "Brackley One", Aliases: []string{"twin 0"}},
		{ID: 2, Name: "Brackley Two", Aliases: []string{"twin 1"}},
	}
	needles := []trade.Instrument{{ID: 1, Kind: trade.Needle, Gauge: 30, LengthMM: 13}}
	ix, last := NewIndex(gels, needles, nil), trade.Combination{Product: gels[1], Instrument: needles[0]}
	if f, is := ix.ReadFollowUp("twin 30G 13 mm", last); is {
		t.Errorf("read as about %v", f.Options)
	}
	if f, is := ix.ReadFollowUp("and on 30G 13 mm?", last); !is || len(f.Options) != 1 || f.Options[0].Product.ID != 2 {
		t.Errorf("%+v, %t", f, is)
	}
}
