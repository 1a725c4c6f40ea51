package commands

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"testing"

	"holdbench/internal/quantity"
)

// unsuggested are the options that take what nobody can guess, each with the reason.
var unsuggested = map[string]string{
	"hold seconds":                    "the asker's own number",
	"explain negative seconds":        "the asker's own number",
	"explain negative assumed":        "a figure that is offered would pass for one that is known",
	"explain negative placements":     "the asker's own day",
	"explain negative days":           "the asker's own year",
	"log seconds":                     "what was measured",
	"log note":                        "the tester's own words",
	"log lot":                         "what the box says",
	"bench aside lot":                 "what the box says",
	"bench results results":           "what was measured; a form takes it",
	"mine page":                       "buttons turn the pages",
	"group coverage page":             "buttons turn the pages",
	"group testers page":              "buttons turn the pages",
	"record tests page":               "buttons turn the pages",
	"record history page":             "buttons turn the pages",
	"record correct change":           "what was measured",
	"record correct reason":           "the asker's own words",
	"record withdraw reason":          "the asker's own words",
	"record restore reason":           "the asker's own words",
	"me erase confirm":                "a number that erasing gives to be typed",
	"trainer settings protocol":       "the group's own address",
	"trainer gels add name":           "a new name",
	"trainer gels add aliases":        "new names",
	"trainer gels rename name":        "a new name",
	"trainer gels rename reason":      "the trainer's own words",
	"trainer gels merge reason":       "the trainer's own words",
	"trainer settings name":           "the group's own name",
	"trainer gels class reason":       "the trainer's own words",
	"trainer gels name name":          "a new name",
	"trainer gels retire reason":      "the trainer's own words",
	"trainer needles add bore":        "what was measured",
	"trainer needles add hub":         "what was measured",
	"trainer needles correct bore":    "what was measured",
	"trainer needles correct hub":     "what was measured",
	"trainer needles correct reason":  "the trainer's own words",
	"trainer needles retire reason":   "the trainer's own words",
	"trainer gels apart reason":       "the trainer's own words",
	"trainer syringes add gas":        "what was measured",
	"trainer syringes correct gas":    "what was measured",
	"trainer syringes correct reason": "the trainer's own words",
	"trainer syringes retire reason":  "the trainer's own words",
	"trainer forget confirm":          "a number that forgetting gives to be typed",
	"stock list page":                 "buttons turn the pages",
	"totest list page":                "buttons turn the pages",
	"group gels page":                 "buttons turn the pages",
	"group needles page":              "buttons turn the pages",
	"trainer stock page":              "buttons turn the pages",
	"trainer import file":             "a file that is attached",
	"trainer import answer":           "the trainer's own words",
	"trainer undo number":             "a button undoes it",
	"bench class seconds":             "what was measured",
	"bench class class":               "buttons set it",
	"trainer class class":             "buttons set it",
}

func TestOptionsWithoutSuggestionsHaveAReason(t *testing.T) {
	left := map[string]bool{}
	for of := range unsuggested {
		left[of] = true
	}
	for _, cmd := range All() {
		for _, o := range cmd.Options {
			of := cmd.Name + " " + o.Name
			if o.Unlisted { // nobody types it
				continue
			}
			open := o.Suggest == nil && len(o.Choices) == 0 && o.Kind != YesNo && o.Kind != PlatformRole &&
				o.Kind != PlatformChannel
			if open && unsuggested[of] == "" {
				t.Errorf("/%s suggests nothing: suggest likely values, or say here why there are none", of)
			}
			if open {
				delete(left, of)
			}
		}
	}
	for of := range left {
		t.Errorf("/%s is listed here and suggests something, or is gone", of)
	}
}

// What is suggested is taken: an option reads each of its own suggestions.
func TestEverySuggestionIsTaken(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	for _, asker := range []Asker{askingMember, askingTrainer} {
		for _, line := range []string{"/bench aside orrick mid 30G 13 mm", "/record withdraw test:27 reason:wrong"} {
			says(t, env, asker, line)
		}
		for _, cmd := range All() {
			if !asker.Role.Covers(cmd.Who) {
				continue
			}
			for _, o := range cmd.Options {
				names, err := Suggest(ctx, env, Request{Command: cmd.Name, Asker: asker}, o.Name, "")
				if err != nil || o.Suggest != nil && len(names) == 0 && o.Name != testOption &&
					o.Name != instrumentOption {
					t.Errorf("/%s %s: %v, %v", cmd.Name, o.Name, names, err)
				}
				for _, name := range names {
					if o.Kind == Number || o.Kind == Whole {
						name, _, _ = strings.Cut(name, " ")
					}
					if _, _, err := o.read(env.Now(), name); err != nil {
						t.Errorf("/%s %s does not take %q: %v", cmd.Name, o.Name, name, err)
					}
				}
			}
		}
	}
}

// suggests is what is suggested to a member for an option.
func suggests(t *testing.T, env *Env, asker Asker, command, option, typed string) []string {
	t.Helper()
	names, err := Suggest(t.Context(), env, Request{Command: command, Asker: asker}, option, typed)
	if err != nil {
		t.Fatal(err)
	}
	return names
}

func TestOwnTestsAreSuggestedTheLatestFirst(t *testing.T) {
	env := demoEnv(t)
	for _, line := range []string{
		"/log product:\"Orrick Mid\" instrument:\"30G 13 mm needle\" seconds:7.13 timing:\"video 120 fps\" " +
			"liquid:\"goat milk\" temperature:24",
		"/log product:\"Orrick Mid\" instrument:\"30G 13 mm needle\" seconds:8.21 timing:stopwatch liquid:\"goat milk\"",
	} {
		if card := says(t, env, askingMember, line); card.Refused {
			t.Fatal(card.Text())
		}
	}
	kept := suggests(t, env, askingMember, withdrawName, testOption, "")
	if len(kept) < 2 || !strings.HasPrefix(kept[0], "146 · Orrick Mid, 30G 13 mm needle · 8.2 s · ") ||
		!strings.HasPrefix(kept[1], "145 · ") {
		t.Fatalf("own tests: %q", kept)
	}
	if got := suggests(t, env, askingMember, withdrawName, testOption, "7.13"); len(got) != 1 || got[0] != kept[1] {
		t.Errorf("by the seconds: %q", got)
	}
	says(t, env, askingMember, "/record withdraw test:145")
	back := suggests(t, env, askingMember, restoreName, testOption, "")
	if len(back) != 1 || back[0] != kept[1] || slices.Contains(suggests(t, env, askingMember, withdrawName, testOption,
		""), kept[1]) {
		t.Errorf("withdrawn: %q", back)
	}
	for option, want := range map[string]string{"liquid": "goat milk", "timing": "stopwatch", "temperature": "20"} {
		if got := suggests(t, env, askingMember, logName, option, ""); len(got) == 0 || got[0] != want {
			t.Errorf("%s: %q, want %s first", option, got, want)
		}
	}
	says(t, env, askingMember, "/bench aside orrick mid 30G 13 mm")
	labels := suggests(t, env, askingMember, boxName, outOption, "")
	if len(labels) != 1 || labels[0] != "B-1 · Orrick Mid, 30G 13 mm" &&
		labels[0] != "B-1 · Orrick Mid, 30G 13 mm needle" {
		t.Fatalf("labels: %q", labels)
	}
	if card := says(t, env, askingMember, "/bench box out:"+strconv.Quote(labels[0])); !strings.HasPrefix(card.Title,
		"B-1 is out") {
		t.Error(card.Text())
	}
}

func TestDaysThatAreSuggestedAreReadAsDays(t *testing.T) {
	for _, day := range suggests(t, demoEnv(t), askingMember, takeName, byOption, "") {
		if _, err := quantity.ComingDay(day, stopped()); err != nil {
			t.Errorf("%s: %v", day, err)
		}
	}
}
