package commands

import (
	"context"
	"errors"
	"maps"
	"strings"
	"testing"
	"unicode/utf8"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// The bounds of a chat platform's forms (Discord's published limits).
func TestFormsFitAPhone(t *testing.T) {
	forms := 0
	for _, cmd := range All() {
		if cmd.Form == nil {
			continue
		}
		forms++
		f := cmd.Form
		if utf8.RuneCountInString(f.Title) > 45 || f.Title == "" || len(f.Fields) > 5 {
			t.Errorf("%s: %+v", cmd.Name, f)
		}
		if n := utf8.RuneCountInString(f.Post); n > 32 {
			t.Errorf("%s: %q has %d characters", cmd.Name, f.Post, n)
		}
		for _, field := range f.Fields {
			if utf8.RuneCountInString(field.Label) > 45 || field.Label == "" ||
				utf8.RuneCountInString(field.Help) > 100 || field.Most < 1 || field.Most > 4000 ||
				f.Read == nil && cmd.option(field.Name) == nil {
				t.Errorf("%s: %+v", cmd.Name, field)
			}
		}
	}
	if forms == 0 {
		t.Fatal("no form seen")
	}
}

func TestTheFormIsAskedForWhereSomethingIsMissing(t *testing.T) {
	whole := map[string]string{productOption: "Orrick Mid", instrumentOption: "30G 13 mm needle", "seconds": "3"}
	cases := []struct {
		scene string
		req   Request
		want  bool
	}{
		{"nothing given", Request{Command: logName}, true},
		{"all given", Request{Command: logName, Values: whole}, false},
		{"the time missing", Request{Command: logName, About: "5/2/1"}, true},
		{"a form that comes back", Request{Command: logName, Values: whole, Filled: map[string]string{gelField: "x"}},
			true},
		{"a post", Request{Command: logName, Values: whole, Post: &Post{}}, true},
		{"a command without a form", Request{Command: holdName}, false},
		{"no command", Request{Command: "none"}, false},
	}
	for _, c := range cases {
		if got := WantsForm(c.req); got != c.want {
			t.Errorf("%s: %t", c.scene, got)
		}
	}
}

// fieldsOf is what stands in the fields of the log form.
func fieldsOf(t *testing.T, env *Env, req Request) map[string]string {
	t.Helper()
	req.Command = logName
	open, card := Open(context.Background(), env, req)
	if open == nil {
		t.Fatalf("no form:\n%s", card.Text())
	}
	return open.Filled
}

func wantFields(t *testing.T, scene string, got, want map[string]string) {
	t.Helper()
	for name, value := range want {
		if got[name] != value {
			t.Errorf("%s: %s is %q, want %q", scene, name, got[name], value)
		}
	}
}

func TestTheFormOpensWithTheLastSetUp(t *testing.T) {
	env := demoEnv(t)
	newcomer := Asker{Ref: "42", Name: "Nell", Role: knowledge.MemberRole, Belongs: true}
	wantFields(t, "newcomer", fieldsOf(t, env, Request{Asker: newcomer}), map[string]string{
		gelField: "", setupField: "", resultField: "", benchField: "pull 0.1 mL, whole milk, 20 °C, watched 30 s, " +
			"stopwatch",
	})
	line := `/log product:"Orrick Firm" instrument:"27G 13 mm needle" syringe:"fixed-needle 0.3 mL" seconds:9 watched:60 temperature:22 timing:"video 240 fps"`
	if card := says(t, env, newcomer, line); card.Refused {
		t.Fatal(card.Text())
	}
	wantFields(t, "after a test", fieldsOf(t, env, Request{Asker: newcomer}), map[string]string{
		gelField: "Orrick Firm", setupField: "27G 13 mm needle, fixed-needle 0.3 mL syringe", resultField: "",
		benchField: "pull 0.1 mL, whole milk, 22 °C, watched 60 s, video 240 fps",
	})
	evidence, err := env.Group.Evidence(context.Background(),
		trade.Combination{Product: trade.Product{Name: "Tamsel Soft"}, Instrument: trade.Instrument{Kind: trade.Needle,
			Gauge: 30, LengthMM: 13}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	wantFields(t, "about a combination", fieldsOf(t, env, Request{Asker: newcomer, About: pin(evidence.Combination)}),
		map[string]string{
			gelField: "Tamsel Soft", setupField: "30G 13 mm needle, supplied syringe",
			benchField: "pull 0.1 mL, whole milk, 22 °C, watched 60 s, video 240 fps",
		})
	wantFields(t, "with options",
		fieldsOf(t, env, Request{Asker: newcomer, Values: map[string]string{productOption: "Pellow Lip",
			instrumentOption: "30G", "note": "n", "pull": "0.2", "timing": "stopwatch",
			"date": "yesterday"}}), map[string]string{
			gelField: "Pellow Lip", setupField: "30G", noteField: "n", benchField: "pull 0.2 mL, whole milk, 22 °C, " +
				"watched 60 s, stopwatch, yesterday",
		})
	typed := map[string]string{gelField: "as", setupField: "it", resultField: "was", benchField: "typed"}
	wantFields(t, "coming back", fieldsOf(t, env, Request{Asker: newcomer, Filled: typed}), typed)
}

func TestTheFormIsNotForOutsiders(t *testing.T) {
	open, card := Open(context.Background(), demoEnv(t), Request{Command: logName, Asker: askingOutsider})
	if open != nil || !card.Refused {
		t.Errorf("%v, %s", open, card.Text())
	}
}

func TestAPostFillsTheFormIn(t *testing.T) {
	env := demoEnv(t)
	bench := "pull 0.1 mL, whole milk, 20 °C, watched 30 s, "
	cases := []struct {
		post string
		want map[string]string
	}{
		{"Orrick Mid, 30G 13 mm needle, flashback at 4.2 s", map[string]string{gelField: "Orrick Mid",
			setupField: "30G 13 mm needle, supplied syringe", resultField: "4.2",
			benchField: bench + "stopwatch"}},
		{"tamsel soft 30g half inch 0:12.40–0:17.13 60 fps", map[string]string{gelField: "Tamsel Soft",
			setupField: "30G 13 mm needle, supplied syringe", resultField: "0:12.40–0:17.13 60 fps",
			benchField: bench + "video 60 fps"}},
		{"pellow contour on 25G 38 mm cannula: no flashback, watched for 60 s",
			map[string]string{gelField: "Pellow Contour", setupField: "25G 38 mm cannula, supplied syringe",
				resultField: "none", benchField: "pull 0.1 mL, whole milk, 20 °C, watched 60 s, stopwatch"}},
		{"clip of the dunmere deep test", map[string]string{gelField: "Dunmere Deep", setupField: "", resultField: ""}},
		{"look at this!", map[string]string{gelField: "", setupField: "", resultField: ""}},
		{"orrick 30g 13mm, 3 s and then 5 s", map[string]string{gelField: "", setupField: "30G 13 mm needle",
			resultField: ""}},
	}
	for _, c := range cases {
		wantFields(t, c.post, fieldsOf(t, env, Request{Post: &Post{Text: c.post},
			Asker: Asker{Ref: "42", Role: knowledge.MemberRole}}), c.want)
	}
}

func TestAFilledInFormIsATest(t *testing.T) {
	env := demoEnv(t)
	filled := map[string]string{
		gelField: "tamsel SOFT", setupField: "30g half inch in a 0.3 mL insulin syringe",
		resultField: "0:12.40–0:17.13",
		benchField:  "0,2 mL; glycerol-water 40%, 21C, watched 45s, video 60 fps, yesterday",
		noteField:   "second\nsyringe",
	}
	req := Request{Command: logName, Filled: filled, Key: "k1", Link: "https://chat.example/channels/1/2/3",
		Asker: askingMember}
	card := Answer(context.Background(), env, req)
	wants(t, strings.Join(strings.Fields(card.Text()), " "), "Tamsel Soft, 30G 13 mm needle, fixed-needle 0.3 mL "+
		"syringe", "Logged as test 145",
		"4.73 s, video 60 fps, pull 0.2 mL, glycerol-water 40% at 21 °C", "watched 45 s", "2026-11-23",
		"film 0:12.40–0:17.13", "note: second syringe")
	again := Answer(context.Background(), env, req)
	wants(t, again.Text(), "Logged as test 145")
	stored, err := env.Group.Test(context.Background(), 145)
	if err != nil || stored.Film != (knowledge.Film{Marks: "0:12.40–0:17.13", Link: req.Link}) {
		t.Errorf("%+v, %v", stored.Film, err)
	}
	labels := ""
	for _, a := range card.Actions {
		labels += a.Label + "; "
	}
	wants(t, labels, "take it back", "log another", "the hold now")
}

func TestARefusedFormComesBackAsItWas(t *testing.T) {
	env := demoEnv(t)
	good := map[string]string{gelField: "Tamsel Soft", setupField: "30G 13 mm needle", resultField: "4"}
	for name, value := range map[string]string{
		gelField: "Quimbleton", setupField: "80G 13 mm needle", resultField: "soon", benchField: "milk, water",
		noteField: "mail jo@example.org",
	} {
		filled := maps.Clone(good)
		filled[name] = value
		card := Answer(context.Background(), env, Request{Command: logName, Filled: filled, Asker: askingMember,
			Key: "k"})
		if !card.Refused || len(card.Actions) != 1 || !WantsForm(card.Actions[0].Request) {
			t.Errorf("%s: refused %t, actions %v\n%s", name, card.Refused, card.Actions, card.Text())
			continue
		}
		again := card.Actions[0].Request
		again.Asker = askingMember
		wantFields(t, name, fieldsOf(t, env, again), filled)
	}
	tests, err := env.Group.Tests(context.Background(), knowledge.TestFilter{})
	if err != nil || len(tests) != 144 {
		t.Errorf("%d tests, %v", len(tests), err)
	}
}

func TestAGelThatIsNotQuiteOneIsAskedAboutFromTheForm(t *testing.T) {
	env := demoEnv(t)
	filled := map[string]string{gelField: "orrick", setupField: "30G 13 mm needle", resultField: "4"}
	card := Answer(context.Background(), env, Request{Command: logName, Filled: filled, Key: "k", Asker: askingMember})
	if len(card.Choices) != 2 {
		t.Fatal(card.Text())
	}
	for range 2 { // the same choice twice is one test
		picked := card.Choices[0].Request
		wants(t, Answer(context.Background(), env, picked).Text(), "Orrick Mid, 30G 13 mm needle", "Logged as test 145")
	}
}

// Whose confirmation never came logs once more: that is asked about before it counts.
// Others' tests, other times or pulls and two of none are nobody's twins.
func TestATestThatLooksSentTwiceIsAskedAbout(t *testing.T) {
	env := demoEnv(t)
	env.Conversations = new(Conversations)
	logs := func(asker Asker, line string) string {
		t.Helper()
		req := Typed(line, asker)
		req.Place = "here"
		return strings.Join(strings.Fields(Answer(context.Background(), env, req).Text()), " ")
	}
	for _, once := range []string{"log tamsel soft 30g 13mm 3.41", "log tamsel soft 30g 13mm 3.42",
		"log tamsel soft 30g 13mm none watched:30",
		"log tamsel soft 30g 13mm none watched:30", "log tamsel soft 30g 13mm 3.41 pull:0.2"} {
		wants(t, logs(askingMember, once), "Logged as test")
	}
	wants(t, logs(askingTrainer, "log tamsel soft 30g 13mm 3.41"), "Logged as test")
	before := keptTests(t, env)
	wants(t, logs(askingMember, "log tamsel soft 30g 13mm 3.41"), "Your test 145 of that day has the same 3.4 s. Is "+
		"this another one?")
	if keptTests(t, env) != before {
		t.Error("stored before a yes")
	}
	wants(t, logs(askingMember, "yes"), "Logged as test")
	if keptTests(t, env) != before+1 {
		t.Error("not stored after a yes")
	}
}

func TestBenchLineIsReadAsALogLineIs(t *testing.T) {
	env := demoEnv(t) // on Tuesday 2026-11-24, by the calendar
	cases := map[string]map[string]string{
		"": {},
		benchLine(usualBench()): {"pull": "0.1", "liquid": "whole milk", "temperature": "20",
			"watched": "30", "timing": "stopwatch"},
		"video 60 fps, 21 °C; pulled 0,2":         {"timing": "video 60 fps", "temperature": "21", "pull": "0.2"},
		"240 fps, 0.2 mL pull":                    {"timing": "video 240 fps", "pull": "0.2"},
		"2026-11-20, watching for 90 sec, at 18c": {"date": "2026-11-20", "watched": "90", "temperature": "18"},
		"glycerol-water 40%":                      {"liquid": "glycerol-water 40%"},
		"slow-mo 240, friday, watched 1:02":       {"timing": "video 240 fps", "date": "2026-11-20", "watched": "62"},
		"60fps, 3 days ago, .2cc":                 {"timing": "video 60 fps", "date": "2026-11-21", "pull": "0.2"},
		"0.3 ml milk 21c stopwatch 23/11/2026": {"pull": "0.3", "liquid": "whole milk", "temperature": "21",
			"timing": "stopwatch", "date": "2026-11-23"},
		"Beet juice 22 degrees": {"liquid": "Beet juice", "temperature": "22"},
		"half milk, half past":  nil, "milk, water": nil, "3/4, milk": nil, "pull 0.1, pull 0.2": nil,
		"video": nil, "glycerol": nil,
		"pull 4 mL": nil, "80 c": nil, "tomorrow": nil, "20 c, 21 c": nil,
	}
	for line, want := range cases {
		got, err := readBench(line, env.Now())
		if (err == nil) != (want != nil) || want != nil && !maps.Equal(got, want) {
			t.Errorf("%q: %v, %v; want %v", line, got, err, want)
		}
	}
	var user *UserError
	if _, err := readBench("milk, water", env.Now()); !errors.As(err, &user) ||
		!strings.Contains(user.Problem, "liquid") {
		t.Errorf("two liquids: %v", err)
	}
}

// A new form says stopwatch before anything is typed: from–to on a film is a film
// all the same. Said as an option it is a contradiction.
func TestAFilmIsNoStopwatchThoughTheFormSaysSo(t *testing.T) {
	for result, want := range map[string][2]string{
		"0:12.40–0:17.13":          {"", "0:12.40–0:17.13"},
		"frames 372–514 at 60 fps": {"", "frames 372–514 at 60 fps"},
		"3.4":                      {"stopwatch", "3.4"},
		"none":                     {"stopwatch", "none"},
		"17-12":                    {"stopwatch", "17-12"}, // no film: asked about
	} {
		env := demoEnv(t)
		filled := fieldsOf(t, env, Request{Asker: Asker{Ref: "42", Name: "Nell", Role: anyMember, Belongs: true}})
		wantFields(t, result, filled, map[string]string{benchField: "pull 0.1 mL, whole milk, 20 °C, watched 30 s, " +
			"stopwatch"})
		filled[gelField], filled[setupField], filled[resultField] = "Orrick Mid", "30G 13 mm needle", result
		values, err := readLogForm(must(env.view(t.Context()))(t), filled)
		if err != nil || values["timing"] != want[0] || values["seconds"] != want[1] {
			t.Errorf("%s: %v, %v", result, values, err)
		}
	}
	card := says(t, demoEnv(t), askingMember, `/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:0:12.40-0:17.13 timing:stopwatch`)
	if !card.Refused || card.Title != "Only a film has a start and end to read off." {
		t.Error(card.Text())
	}
}

// What was refused is put right in the form, with what was said in it.
func TestWhatWasRefusedOpensAForm(t *testing.T) {
	env := demoEnv(t)
	member := Asker{Ref: "42", Name: "Nell", Role: anyMember, Belongs: true}
	for line, want := range map[string]map[string]string{
		`/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:quick note:odd pull:0.2`: {gelField: "Orrick Mid", setupField: "30G 13 mm needle", resultField: "", noteField: "odd"},
	} {
		card := says(t, env, member, line)
		if !card.Refused || len(card.Actions) != 1 || card.Actions[0].Label != "fill in the form" ||
			!card.Actions[0].Tap || !WantsForm(card.Actions[0].Request) {
			t.Fatalf("%s: %+v\n%s", line, card.Actions, card.Text())
		}
		again := card.Actions[0].Request
		again.Asker = member
		wantFields(t, line, fieldsOf(t, env, again), want)
	}
	if card := says(t, env, member, "/hold nothing of the kind"); !card.Refused || len(card.Actions) != 0 {
		t.Errorf("a command without a form: %+v", card.Actions)
	}
	if card := says(t, env, member, "/stock nothing of the kind"); len(card.Actions) != 0 {
		t.Errorf("a form for something else: %+v", card.Actions)
	}
}
