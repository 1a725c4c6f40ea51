package commands

import (
	"context"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"holdbench/internal/knowledge"
)

// The bounds of a chat platform's command menus (Discord's published limits).
const (
	longestName    = 32
	longestSummary = 100
	mostOptions    = 25
)

var (
	commandName = regexp.MustCompile(`^[a-z]{1,32}(?: [a-z]{1,32}){0,2}$`)
	optionName  = regexp.MustCompile(`^[a-z_]{1,32}$`)
)

// A list of commands that is found at a glance, of words that other bots do not take
// (counts and bounds are the project's and Discord's).
func TestTheMenuIsShort(t *testing.T) {
	if n := len(Menu()); n > 12 {
		t.Errorf("%d topics", n)
	}
	taken := []string{"help", "settings", "history", "export", "welcome", "rename", "take", "tests", "merge", "picture",
		"choices"}
	under := map[string]int{}
	for _, cmd := range All() {
		word, _, _ := strings.Cut(cmd.Name, " ")
		if under[word]++; topic(word) == nil {
			t.Errorf("/%s is under no topic", cmd.Name)
		}
		if trainers := cmd.Who == knowledge.TrainerRole; trainers != (word == "trainer") {
			t.Errorf("/%s: for trainers alone %t", cmd.Name, trainers)
		}
	}
	for _, topic := range Menu() {
		if n := under[topic.Name]; n == 0 || n > 25 || slices.Contains(taken, topic.Name) ||
			len(topic.Summary) > longestSummary {
			t.Errorf("/%s has %d commands", topic.Name, n)
		}
		for _, name := range []string{topic.bare, topic.rest} {
			if name != "" && find(catalogue, name) == nil {
				t.Errorf("/%s leads to /%s, which there is not", topic.Name, name)
			}
		}
	}
}

func TestOldNamesSayWhatTheyAreCalledNow(t *testing.T) {
	env := demoEnv(t)
	for old, name := range openers {
		if find(catalogue, name) == nil {
			t.Errorf("%s leads to /%s, which there is not", old, name)
		}
		if card := says(t, env, askingMember, "/"+old+" x"); old != "help" &&
			(!card.Refused || !strings.Contains(card.Text(), "/"+name+" x")) {
			t.Errorf("/%s:\n%s", old, card.Text())
		}
		if got := Renamed(Request{Command: old}); got.Command != name {
			t.Errorf("a button of /%s leads to /%s", old, got.Command)
		}
	}
	for button, want := range map[*Request]string{
		{Command: "stock", Values: map[string]string{"do": "remove", "product": "x"}}: stockRemoveName,
		{Command: "stock", Values: map[string]string{"do": "list"}}:                   stockListName,
		{Command: "stock", Text: "x"}:                                                 stockName,
		{Command: "aboutme", Values: map[string]string{"do": "erase"}}:                eraseName,
		{Command: "aboutme", Values: map[string]string{"do": "file"}}:                 myFileName,
		{Command: "bench"}: benchName,
		{Command: logName}: logName,
	} {
		if got := Renamed(*button); got.Command != want || got.Values["do"] != "" {
			t.Errorf("%+v leads to %+v", *button, got)
		}
	}
	older := Renamed(Request{Command: testsName, Values: map[string]string{"skip": "40"}})
	if want := map[string]string{pageOption: "3"}; !maps.Equal(older.Values, want) {
		t.Errorf("a button that left 40 rows out asks for %v, want %v", older.Values, want)
	}
}

func TestCommandsAreDeclaredInFull(t *testing.T) {
	seen := map[string]bool{}
	for _, cmd := range All() {
		t.Run(cmd.Name, func(t *testing.T) {
			if !commandName.MatchString(cmd.Name) || seen[cmd.Name] {
				t.Errorf("name %q", cmd.Name)
			}
			seen[cmd.Name] = true
			if n := utf8.RuneCountInString(cmd.Summary); n < 1 || n > longestSummary {
				t.Errorf("the summary has %d characters", n)
			}
			if cmd.Help == "" || len(cmd.Examples) == 0 || cmd.Run == nil || cmd.Who == "" {
				t.Error("help, examples, Who or Run is missing")
			}
			if cmd.Free != (cmd.FreeHelp != "") || utf8.RuneCountInString(cmd.FreeHelp) > longestSummary {
				t.Errorf("free %t, its help %q", cmd.Free, cmd.FreeHelp)
			}
			checkOptions(t, cmd)
		})
	}
}

func checkOptions(t *testing.T, cmd *Command) {
	t.Helper()
	if len(cmd.Options) > mostOptions-1 { // one more for the free text
		t.Errorf("%d options", len(cmd.Options))
	}
	seen := map[string]bool{}
	optional := false
	for _, o := range cmd.Options {
		if !optionName.MatchString(o.Name) || seen[o.Name] {
			t.Errorf("option name %q", o.Name)
		}
		seen[o.Name] = true
		if n := utf8.RuneCountInString(o.Help); n < 1 || n > longestSummary {
			t.Errorf("%s: the help has %d characters", o.Name, n)
		}
		if o.Required && optional {
			t.Errorf("%s is required and comes after one that is not", o.Name)
		}
		optional = optional || !o.Required
		if (o.Kind == Number || o.Kind == Whole) && !(o.Min < o.Max) {
			t.Errorf("%s takes %g to %g", o.Name, o.Min, o.Max)
		}
		if _, known := readers[o.Unit]; o.Kind == Number && !known {
			t.Errorf("%s is in %q, which cannot be typed", o.Name, o.Unit)
		}
		if len(o.Choices) > 0 && o.Suggest != nil {
			t.Errorf("%s has both choices and suggestions", o.Name)
		}
	}
}

// exampleNeeds is what has to be said before the examples of a command make sense.
var exampleNeeds = map[string][]string{
	restoreName:  {withdrawCommand.Examples[0]},
	giveUpName:   {takeCommand.Examples[0]},
	benchName:    {asideCommand.Examples[0]},
	batchName:    {asideCommand.Examples[0], asideCommand.Examples[0], asideCommand.Examples[0]},
	watchName:    {asideCommand.Examples[0], asideCommand.Examples[0], asideCommand.Examples[0]},
	classLogName: {"[trainer] " + classCommand.Examples[0]},
}

// asksOnce are the commands that show what they are about to change and ask.
var asksOnce = []string{correctName, mergeName, forgetName}

func TestEveryExampleRuns(t *testing.T) {
	for _, cmd := range few(All(), 6) {
		asker := askingMember
		if cmd.Who == knowledge.TrainerRole {
			asker = askingTrainer
		}
		env := demoEnv(t)
		for i, example := range cmd.Examples {
			if cmd.Name == batchName && i > 0 {
				env = demoEnv(t) // another result of a syringe that was logged is asked about
			}
			for _, before := range exampleNeeds[cmd.Name] {
				who, line := asker, before
				if after, is := strings.CutPrefix(before, "[trainer] "); is {
					who, line = askingTrainer, after
				}
				says(t, env, who, line)
			}
			req := Typed(example, asker)
			req.At = stopped() // as in a chat
			card := Answer(t.Context(), env, req)
			if card.Refused || card.Failed || len(card.Choices) > 0 != slices.Contains(asksOnce, cmd.Name) {
				t.Errorf("%s\n%s", example, card.Text())
			}
			if got := Typed(example, Asker{}).Command; got != cmd.Name {
				t.Errorf("the example %q is of %s", example, got)
			}
		}
	}
}

func TestEveryCommandHasATranscript(t *testing.T) {
	for _, cmd := range All() {
		paths, err := filepath.Glob(filepath.Join("testdata", "transcripts",
			strings.ReplaceAll(cmd.Name, " ", "-")+"*.txt"))
		if err != nil || len(paths) == 0 {
			t.Errorf("no scene shows %s: %v", cmd.Name, err)
		}
	}
}

// The bounds of a chat platform's rich message (Discord's published limits).
func TestEveryCardOfEveryTranscriptFitsAMessage(t *testing.T) {
	for _, path := range few(transcriptFiles(t), 6) {
		for _, x := range replayed(t, path).exchanges {
			c := x.card
			if n := utf8.RuneCountInString(c.Title); n > 256 {
				t.Errorf("%s: the title has %d characters", x.request.Line(), n)
			}
			if n := utf8.RuneCountInString(c.Text()); n > 4096 {
				t.Errorf("%s: %d characters", x.request.Line(), n)
			}
			if len(c.Choices) > 25 { // facts are lines of one text there
				t.Errorf("%s: %d choices", x.request.Line(), len(c.Choices))
			}
			for _, f := range c.Facts {
				if utf8.RuneCountInString(f.Label) > 256 || utf8.RuneCountInString(f.Text) > 1024 {
					t.Errorf("%s: fact %q is too long", x.request.Line(), f.Label)
				}
			}
		}
	}
}

func TestSuggestionsAreFewAndNarrowed(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	cases := []struct {
		suggest     Suggester
		typed, want string
	}{
		// by what the group uses
		{suggestProducts, "", "Tamsel Soft, Tamsel Fine, Orrick Mid, Orrick Firm, Hesk Paste 1:1, Pellow Lip, " +
			"Dunmere Deep, Pellow Contour, Larnoch Hydra, Hesk Paste"},
		{suggestProducts, "ORR", "Orrick Mid, Orrick Firm"},
		{suggestProducts, "deep", "Dunmere Deep"},
		{suggestInstruments, "30g13", "30G 13 mm needle"},
		{suggestSyringes, "0.5", "fixed-needle 0.5 mL"},
		{suggestProducts, "zzz", ""},
	}
	for _, c := range cases {
		got, err := c.suggest(ctx, env, Request{}, c.typed)
		if err != nil || strings.Join(got, ", ") != c.want {
			t.Errorf("%q: %v, %v", c.typed, got, err)
		}
	}
}
