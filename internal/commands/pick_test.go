package commands

import "testing"

// twoLists is a card with two choices and two lists, the second for several at once.
func twoLists() Card {
	zone := Pick{Label: "Time zone", Request: Request{Command: settingsName}, Option: "zone",
		Items: []Item{{Label: "London", Value: "Europe/London", Set: true}, {Label: "Oslo", Value: "Europe/Oslo"}}}
	off := Pick{Label: "Needles", Request: Request{Command: settingsName}, Option: "off", Most: 2,
		Items: []Item{{Label: "thin", Value: "30G"}, {Label: "wide", Value: "27G"}}}
	role := Pick{Label: "Trainers", Request: Request{Command: settingsName}, Option: "trainers"}
	pins := Pick{Label: "Take one on", Request: Request{Command: takeName},
		Items: []Item{{Label: "Orrick Mid", Value: "1/2/3"}}}
	return Card{Title: "Pick", Choices: []Choice{{Label: "this", Request: Request{Command: "this"}},
		{Label: "that", Request: Request{Command: "that"}}}, Picks: []Pick{zone, off, role, pins}}
}

func TestListsAreNumberedThroughOnATerminal(t *testing.T) {
	want := `Pick
   1  this
   2  that
  Time zone:
   3  London (set)
   4  Oslo
  Needles, one or several, as in 1, 3:
   5  thin
   6  wide
  → Trainers: /trainer settings trainers:…
  Take one on:
   7  Orrick Mid
`
	if got := twoLists().Text(); got != want {
		t.Errorf("got\n%s", got)
	}
}

func TestNumbersPickFromTheListsOfACard(t *testing.T) {
	for typed, want := range map[string]Request{
		"2":    {Command: "that"},
		"4":    {Command: settingsName, Values: map[string]string{"zone": "Europe/Oslo"}},
		"6, 5": {Command: settingsName, Values: map[string]string{"off": "27G, 30G"}},
		"7":    {Command: takeName, About: "1/2/3"},
	} {
		got, problem := twoLists().Numbered(typed)
		if got == nil || problem != "" || got.Command != want.Command || got.About != want.About ||
			len(got.Values) != len(want.Values) || got.Values["zone"] != want.Values["zone"] ||
			got.Values["off"] != want.Values["off"] {
			t.Errorf("%s: %+v, %q; want %+v", typed, got, problem, want)
		}
	}
	for _, beyond := range []string{"0", "8", "3 4", "2 3", "5 6 7"} {
		if got, problem := twoLists().Numbered(beyond); got != nil || problem != "Pick 1 to 7, or ask again." {
			t.Errorf("%s: %+v, %q", beyond, got, problem)
		}
	}
	for _, words := range []string{"", "orrick mid", "3 mm", "30G"} {
		if got, problem := twoLists().Numbered(words); got != nil || problem != "" {
			t.Errorf("%q: %+v, %q", words, got, problem)
		}
	}
	if got, problem := (Card{}).Numbered("2"); got != nil || problem != "" {
		t.Errorf("without lists: %+v, %q", got, problem)
	}
}
