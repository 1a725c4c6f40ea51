package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
)

func TestSuggestionsBeginWithWhatTheAskerHas(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	cases := []struct {
		scene, option, typed string
		req                  Request
		first                string
	}{
		// quayside stocks Orrick Mid for a cannula that few others use (config/demo/stock.csv).
		{"instrument for a gel in stock", instrumentOption, "", Request{Command: holdName, Asker: askingMember,
			Values: map[string]string{productOption: "Orrick Mid"}}, "27G 38 mm cannula"},
		{"a size nobody has", instrumentOption, "33g", Request{Command: holdName, Asker: askingMember},
			"33G 9 mm needle"},
		{"a slip of typing", productOption, "orick", Request{Command: holdName, Asker: askingMember}, "Orrick Mid"},
		{"letters swapped", productOption, "dunmree", Request{Command: holdName, Asker: askingMember}, "Dunmere Deep"},
		{"the second word", productOption, "lip", Request{Command: holdName, Asker: askingMember}, "Pellow Lip"},
		{"scattered letters", productOption, "tmslft", Request{Command: holdName, Asker: askingMember}, "Tamsel Soft"},
		{"a syringe", syringeOption, "", Request{Command: holdName, Asker: askingMember}, "supplied"},
	}
	for _, c := range cases {
		got, err := Suggest(ctx, env, c.req, c.option, c.typed)
		if err != nil || len(got) == 0 || got[0] != c.first || len(got) > mostSuggestions {
			t.Errorf("%s: %v, %v; want %s first", c.scene, got, err, c.first)
		}
	}
}

func TestSuggestionsAreForWhoMayAsk(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	for scene, req := range map[string]Request{
		"outsider":   {Command: holdName, Asker: askingOutsider},
		"no command": {Command: "none", Asker: askingMember},
	} {
		if got, err := Suggest(ctx, env, req, productOption, "o"); err != nil || got != nil {
			t.Errorf("%s: %v, %v", scene, got, err)
		}
	}
	for _, option := range []string{"seconds", "none"} {
		if got, err := Suggest(ctx, env, Request{Command: holdName, Asker: askingMember}, option, "o"); err != nil ||
			got != nil {
			t.Errorf("%s: %v, %v", option, got, err)
		}
	}
	if got, err := Suggest(ctx, env, Request{Command: holdName, Asker: askingMember}, productOption,
		strings.Repeat("x", 5000)); err != nil || got != nil {
		t.Errorf("a long text: %v, %v", got, err)
	}
}

func TestWhatIsUsedMoreComesFirst(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	ask := func() []string {
		names, err := Suggest(ctx, env, Request{Command: holdName, Asker: Asker{Ref: "42", Role: anyMember}},
			productOption, "pellow")
		if err != nil {
			t.Fatal(err)
		}
		return names
	}
	if got := ask(); !slices.Equal(got, []string{"Pellow Lip", "Pellow Contour"}) {
		t.Fatalf("by the group: %v", got)
	}
	newcomer := Asker{Ref: "42", Name: "Nell", Role: anyMember, Belongs: true}
	if card := says(t, env, newcomer, `/log product:"Pellow Contour" instrument:"27G 13 mm needle" seconds:9`); card.Refused {
		t.Fatal(card.Text())
	}
	env.usage = usageBook{} // a minute later
	if got := ask(); !slices.Equal(got, []string{"Pellow Contour", "Pellow Lip"}) {
		t.Errorf("by the asker: %v", got)
	}
}

func TestSlipsOfABeginning(t *testing.T) { // counted by hand
	cases := []struct {
		name, typed string
		want        int
	}{
		{"orrick", "orrick", 0}, {"orrickmid", "orrick", 0}, {"orrick", "orick", 1}, {"orrick", "orrikc", 1},
		{"orrick", "orrock", 1},
		{"orrick", "orickk", 2}, {"", "ab", 2}, {"orrickmid", "xrrickm", 1}, {"tamsel", "orrick", 6},
		{strings.Repeat("long", 30), strings.Repeat("long", 20), 0},
	}
	for _, c := range cases {
		if got := slipsOfPrefix(c.name, c.typed, 6); got != c.want {
			t.Errorf("%s, %s: %d, want %d", c.name, c.typed, got, c.want)
		}
	}
}

// BenchmarkCloseness holds what is typed against 2 000 products of two names.
func BenchmarkCloseness(b *testing.B) {
	names := make([][]string, 2000)
	for i := range names {
		names[i] = []string{fmt.Sprintf("Product %d of the house", i), fmt.Sprintf("alias %d", i)}
	}
	for b.Loop() {
		for _, n := range names {
			closeness(n, "orrik mid")
		}
	}
}
