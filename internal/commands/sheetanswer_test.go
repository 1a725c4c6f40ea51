package commands

import (
	"bytes"

	"os"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// openedSheet is one of the sheets on its way into a store.
func openedSheet(t *testing.T, env *Env, name string) *SheetImport {
	t.Helper()
	data, err := os.ReadFile(sheetFolder + "sheets/" + name)
	if err != nil {
		t.Fatal(err)
	}
	in, err := OpenSheet(t.Context(), env, askingTrainer, bytes.NewReader(data), int64(len(data)), knowledge.FileLimits())
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// exported is a file that was written, as text.
func exported(t *testing.T, env *Env, kind knowledge.FileKind) string {
	t.Helper()
	var data bytes.Buffer
	if err := env.Group.Export(t.Context(), kind, &data); err != nil {
		t.Fatal(err)
	}
	return data.String()
}

// toldSheet answers the first open question, which has to have these words in it.
func toldSheet(t *testing.T, in *SheetImport, asked, say string) {
	t.Helper()
	open := in.Questions()
	if len(open) == 0 || !strings.Contains(open[0].Text, asked) {
		t.Fatalf("open is %+v, not %s", open, asked)
	}
	if ok, err := in.Answer(t.Context(), open[0].Key, say); err != nil || !ok {
		t.Fatalf("%q does not answer %q, %v", say, open[0].Text, err)
	}
}

func taken(t *testing.T, in *SheetImport, how knowledge.Importing) Outcome {
	t.Helper()
	done, err := in.Take(t.Context(), how)
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// A name nearly on the list, and two spellings of a new one, are asked about once each; what
// is another gel then is told apart, and the desk does not ask.
func TestNearNamesInASheetAreAskedAbout(t *testing.T) {
	env := demoEnv(t)
	in := openedSheet(t, env, "22-near-names.csv")
	toldSheet(t, in, `"Merrowby Soft", in 2 rows from line 2, is on no list`, "add soft")
	toldSheet(t, in, `"Merowby Soft", in 1 row from line 4, is nearly Merrowby Soft. Is it another gel?`,
		"it's merrowby soft")
	toldSheet(t, in, `"Tamsel Sofft", in 1 row from line 5, is nearly Tamsel Soft`, "Tamsel Soft")
	toldSheet(t, in, `"Orrick Midd"`, "another gel, class medium")
	taken(t, in, knowledge.Importing{})
	wants(t, exported(t, env, knowledge.ProductFile), "Merrowby Soft,soft HA", "Orrick Midd,medium HA")
	tests := exported(t, env, knowledge.TestFile)
	wants(t, tests, "Merrowby Soft,27G 13 mm needle,supplied,whole milk,20,0.1,30,flashback,3.7",
		"Tamsel Soft,27G 13 mm needle,supplied,whole milk,20,0.1,30,flashback,4.7", "flashback,3.8")
	if strings.Contains(tests, "Merowby") {
		t.Error("two gels were made of one")
	}
	if desk := says(t, env, askingTrainer, "/trainer desk").Text(); strings.Contains(desk, "Look alike") {
		t.Errorf("asked once more:\n%s", desk)
	}
	changes, err := env.Group.Changes(t.Context(), knowledge.ChangeFilter{})
	if err != nil || !slices.ContainsFunc(changes, func(c knowledge.LogChange) bool {
		return c.After == "Orrick Midd (medium HA); not Orrick Mid" && c.By.Ref == askingTrainer.Ref
	}) {
		t.Errorf("nothing of it is in the history: %v", err)
	}
}

func TestATimeWatchedInANoteCounts(t *testing.T) {
	env := demoEnv(t)
	in := openedSheet(t, env, "21-watched-in-a-note.csv")
	toldSheet(t, in, "In 1 row no flashback came, and how long it was watched is not said", "a minute")
	taken(t, in, knowledge.Importing{})
	wants(t, exported(t, env, knowledge.TestFile), "20,0.1,30,none,,stopwatch,watched 30 s",
		`20,0.1,45,none,,stopwatch,"hub wobbled, watched for 45 seconds"`,
		"20,0.1,60,none,,stopwatch,second syringe of 3")
}

func TestTheWallOfANeedleMayStandInAColumn(t *testing.T) {
	env := demoEnv(t)
	in := openedSheet(t, env, "23-wall.csv")
	toldSheet(t, in, `"30G 13 mm ultra-thin wall", in 1 row from line 2, is on no list`, "add it")
	taken(t, in, knowledge.Importing{})
	wants(t, exported(t, env, knowledge.TestFile),
		"Orrick Mid,30G 13 mm ultra-thin wall needle,supplied,whole milk,20,0.1,30,flashback,\"6,1\"",
		"Orrick Mid,30G 13 mm needle,supplied,whole milk,20,0.1,30,flashback,\"9,1\"")
}

// What is said to a question in words of one's own, and what is not taken for an answer.
func TestAnswersToASheetAreReadAsRepliesInChat(t *testing.T) {
	env := demoEnv(t)
	for say, want := range map[string]string{
		"add firm": "add as firm HA", "add class medium": "add as medium HA", "add firm HA": "add as firm HA",
		"Add, class CaHA": "add as CaHA paste", "a new gel, soft": "add as soft HA", "please add as stiff": "add as firm HA",
		"add": "add", "add it": "add", "add, not sure": "add", "new": "add", "skip it": "leave out",
		"leave it out": "leave out", "it's o mid": "it is o mid", "the same as Orrick Firm": "it is orrick firm",
		"Dunmere Deep please": "it is dunmere deep",
		"add gummy":           "", "add firm soft": "", "not sure": "", "Brackley": "", "": "", "yes": "",
		"it is firm": "add as firm HA",
	} {
		in := openedSheet(t, env, "11-unknown-gel.csv")
		if got, ok := in.plan.Accepts(in.Questions()[0], say); ok != (want != "") || ok && got != want {
			t.Errorf("%q: %q, %v; want %q", say, got, ok, want)
		}
	}
	for file, replies := range map[string]map[string]string{
		"06-day-month.csv": {"dd/mm/yyyy": "day first", "month comes first": "month first", "3 april": "",
			"the second": "month first"},
		"13-merged-cells.csv":   {"yes": "the same as above", "no": "leave them out", "perhaps": ""},
		"12-unknown-people.csv": {"add her": "add", "Osier": "it is Osier", "firm": "", "add firm": ""},
		"17-odd-columns.csv":    {"skip": "leave out", "remarks": "note", "it's the batch": "lot", "batch": "lot"},
	} {
		in := openedSheet(t, env, file)
		for say, want := range replies {
			if got, ok := in.plan.Accepts(in.Questions()[0], say); ok != (want != "") || ok && got != want {
				t.Errorf("%s, %q: %q, %v; want %q", file, say, got, ok, want)
			}
		}
	}
}

// A needle that is on no list is read from its cell, with a number alone at the end for the length.
func TestANeedlesCellEndsInItsLength(t *testing.T) {
	env := demoEnv(t)
	data := []byte("Date;Gel;Needle;Seconds;Who\n2026-11-20;Orrick Mid;26g cannula 38;4,1;lantern\n")
	in, err := OpenSheet(t.Context(), env, askingTrainer, bytes.NewReader(data), int64(len(data)), knowledge.FileLimits())
	if err != nil {
		t.Fatal(err)
	}
	toldSheet(t, in, "26g cannula 38", "add")
	for _, open := range in.Questions() {
		t.Errorf("open: %s", open.Text)
	}
	taken(t, in, knowledge.Importing{})
	lists, err := env.Group.Vocabulary(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, there := lists.Instrument(trade.Instrument{Kind: trade.Cannula, Gauge: 26, LengthMM: 38}); !there {
		t.Error("the new cannula is not on the list")
	}
}
