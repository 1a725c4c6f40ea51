package commands

import (
	"context"
	"encoding/json"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdbench/internal/knowledge/storetest"
	"holdbench/internal/trade"
)

// That no command reaches another community is proved by difference: whatever is
// asked in A, by whomever and about whatever, the answer is the same to the last
// character whether there is a community B beside it or not, and B's rows stay as
// they are. So nothing of B's is shown, counted, completed or changed.

func sortedNames[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

func TestNoCommandReachesAnotherCommunity(t *testing.T) {
	t.Parallel()
	var all twins
	asked, turn := map[string]int{}, 0
	seeds, most := few([]uint64{0, 1}, 2), 3
	if *long {
		seeds, most = []uint64{0, 1, 2, 3}, 8
	}
	for _, seed := range seeds {
		all.of(t, seed) // filled before the first check
	}
	rapid.Check(t, func(rt *rapid.T) {
		folder := must(os.MkdirTemp(t.TempDir(), "twin"))(t)
		defer os.RemoveAll(folder)
		alone, beside := all.of(t, rapid.SampledFrom(seeds).Draw(rt, "seed"))
		w, end := openTwin(t, folder, alone, beside)
		defer end()
		before := storetest.RowsOf(t, w.path, "B")
		var offered [2][]Request
		for i := range rapid.IntRange(1, most).Draw(rt, "requests") {
			cmd := rapid.SampledFrom(All()).Draw(rt, "command")
			if i == 0 { // each in turn, for the draws are fonder of some than of others
				cmd, turn = All()[turn%len(All())], turn+1
			}
			asked[cmd.Name]++
			req := drawRequest(rt, cmd, w.pins)
			reqs := [2]Request{req, req}
			if n := len(offered[0]); n > 0 && rapid.IntRange(1, 4).Draw(rt, "press") == 1 {
				at := rapid.IntRange(0, n-1).Draw(rt, "button")
				reqs[0], reqs[1] = offered[0][at], offered[1][at]
				reqs[0].Asker, reqs[1].Asker = req.Asker, req.Asker // whoever presses asks
			}
			offered = sameAnswers(rt, w, reqs)
			sameSuggestions(rt, w, cmd, req)
		}
		if after := storetest.RowsOf(t, w.path, "B"); after != before {
			rt.Errorf("B changed:\n%s", storetest.Changed(before, after))
		}
	})
	for _, cmd := range All() {
		if asked[cmd.Name] == 0 && !testing.Short() { // of a few draws some command may be left out
			t.Errorf("/%s was never asked: nothing is proved of it", cmd.Name)
		}
	}
}

// Every command, by everybody, with what is B's in every place. Each asker asks each command with one of the pins, and
// somebody else with the next; with -long everybody with all of them.
func TestWhatIsForgedReachesNoOtherCommunity(t *testing.T) {
	t.Parallel()
	alone, beside := twinFiles(t, 99)
	for turn, name := range few(sortedNames(apartAskers), 3) {
		t.Run(name, func(t *testing.T) {
			w, end := openTwin(t, t.TempDir(), alone, beside)
			defer end()
			before := storetest.RowsOf(t, w.path, "B")
			if strings.Count(before, markB) < 30 || !strings.Contains(before, "verdicts ") ||
				!strings.Contains(before, "claims ") {
				t.Fatalf("B is not filled:\n%s", before)
			}
			for _, cmd := range few(All(), 3) { // before anybody has typed B's words
				bare := Request{Command: cmd.Name, Asker: apartAskers[name]}
				sameAnswers(t, w, [2]Request{bare, bare})
				if strings.Contains(rendered(t, Answer(t.Context(), w.beside, bare)), markB) {
					t.Errorf("/%s shows what is B's", cmd.Name)
				}
				for _, o := range cmd.Options {
					if names := must(Suggest(t.Context(), w.beside, bare, o.Name,
						""))(t); strings.Contains(strings.Join(names, "\n"), markB) {
						t.Errorf("/%s %s completes to %v", cmd.Name, o.Name, names)
					}
				}
			}
			for n, cmd := range few(All(), 3) {
				pins := []string{"", w.pins[len(w.pins)-1], w.pins[len(w.pins)-3]}
				if at := (n + turn) % len(pins); !*long {
					pins = pins[at : at+1]
				}
				for _, pin := range pins {
					req := forged(cmd, apartAskers[name], pin)
					sameAnswers(t, w, [2]Request{req, req})
					sameSuggestions(t, w, cmd, req)
				}
			}
			if after := storetest.RowsOf(t, w.path, "B"); after != before {
				t.Errorf("B changed:\n%s", storetest.Changed(before, after))
			}
		})
	}
}

// The proof would see a leak: a store that does differ answers differently, and a
// changed row is noticed.
func TestTheProofOfApartnessSeesADifference(t *testing.T) {
	alone, beside := twinFiles(t, 7)
	w, end := openTwin(t, t.TempDir(), alone, beside)
	defer end()
	before := storetest.RowsOf(t, w.path, "A")
	lists := Request{Command: productsName, Asker: apartAskers["trainer"]}
	same := rendered(t, Answer(t.Context(), w.beside, lists))
	must(w.beside.Group.AddProduct(t.Context(), trade.Product{Name: "One More", Class: "medium HA"}))(t)
	if rendered(t, Answer(t.Context(), w.beside, lists)) == same {
		t.Error("a product more makes no difference")
	}
	if storetest.RowsOf(t, w.path, "A") == before {
		t.Error("a row more is not noticed")
	}
}

// reporter is what *testing.T and *rapid.T have in common.
type reporter interface {
	Errorf(format string, args ...any)
	Helper()
}

// sameAnswers asks in both stores and fails unless the answers are the same. It
// returns what the answers offer to ask next.
func sameAnswers(t reporter, w twin, reqs [2]Request) (offered [2][]Request) {
	t.Helper()
	var texts [2]string
	for i, env := range []*Env{w.alone, w.beside} {
		card := Answer(context.Background(), env, reqs[i])
		if card.Failed {
			t.Errorf("a fault of ours: %+v\nasked %+v", card, reqs[i])
			continue
		}
		texts[i] = rendered(t, card)
		for _, a := range card.Actions {
			offered[i] = append(offered[i], a.Request)
		}
		for _, c := range card.Choices {
			offered[i] = append(offered[i], c.Request)
		}
		if WantsForm(reqs[i]) {
			form, refused := Open(context.Background(), env, reqs[i])
			if form != nil {
				texts[i] += rendered(t, form.Filled)
			} else {
				texts[i] += rendered(t, refused)
			}
		}
	}
	if texts[0] != texts[1] {
		t.Errorf("answers otherwise beside another community:\nasked  %+v\nalone  %s\nbeside %s", reqs[1], texts[0],
			texts[1])
	}
	return offered
}

// sameSuggestions completes every option in both stores.
func sameSuggestions(t reporter, w twin, cmd *Command, req Request) {
	t.Helper()
	for _, o := range cmd.Options {
		for _, typed := range []string{"", req.Values[o.Name], markB[:3]} {
			alone, err1 := Suggest(context.Background(), w.alone, req, o.Name, typed)
			beside, err2 := Suggest(context.Background(), w.beside, req, o.Name, typed)
			if err1 != nil || err2 != nil || !slices.Equal(alone, beside) {
				t.Errorf("/%s %s:%q completes otherwise beside another community: %v, %v; %v, %v", cmd.Name, o.Name,
					typed, alone, beside, err1, err2)
			}
		}
	}
}

// rendered is all of an answer as text.
func rendered(t reporter, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Errorf("%v", err)
	}
	return string(text)
}
