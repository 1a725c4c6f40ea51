package commands

import (
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

// triedAndTaken takes a sheet in after a dry run that said the same.
func triedAndTaken(t *testing.T, in *SheetImport) Outcome {
	t.Helper()
	if open := in.Questions(); len(open) > 0 {
		t.Fatalf("still open: %+v", open)
	}
	tried := taken(t, in, knowledge.Importing{SkipBad: true, Dry: true})
	done := taken(t, in, knowledge.Importing{SkipBad: true})
	if tried.Added != done.Added || tried.Changed != done.Changed || tried.Already != done.Already {
		t.Errorf("tried: %+v, done: %+v", tried, done)
	}
	if again := taken(t, in, knowledge.Importing{SkipBad: true}); again.Added+again.Changed != 0 {
		t.Errorf("again: %+v", again)
	}
	return done
}

func TestASheetOfGelsIsReadByItsHeadings(t *testing.T) {
	env := demoEnv(t)
	in := openedSheet(t, env, "../lists/gels.csv")
	toldSheet(t, in, `"Wendel Firm", in 1 row from line 5, is nearly Wendle Firm. Is it another gel?`, "yes")
	toldSheet(t, in, `"Pellow Lipp", in 1 row from line 6, is nearly Pellow Lip`, "no")
	toldSheet(t, in, `What class of gel is "runny", in 1 row from line 8?`, "fine")
	if done := triedAndTaken(t, in); done.Kind != knowledge.ProductFile || done.Added != 4 || done.Changed != 2 ||
		done.Bad != 0 {
		t.Errorf("%+v", done)
	}
	wants(t, exported(t, env, knowledge.ProductFile), "Orrick Mid,medium HA,o mid;the mid one,",
		"Pellow Lip,soft HA,p lip;Pellow Lipp,", "Wendle Firm,firm HA,w firm,2026-11-03", "Wendel Firm,unknown,,",
		"Marsh Paste,CaHA paste,,", "Marsh Fluid,fine HA,marsh f,")
	if desk := says(t, env, askingTrainer, "/trainer desk").Text(); strings.Contains(desk, "Look alike") {
		t.Errorf("asked once more:\n%s", desk)
	}
	wants(t, says(t, env, askingTrainer, "/record history").Text(), "Wendel Firm added by lantern")
}

func TestASheetOfNeedlesIsReadByItsHeadings(t *testing.T) {
	env := demoEnv(t)
	done := triedAndTaken(t, openedSheet(t, env, "../lists/needles.csv"))
	if done.Kind != knowledge.InstrumentFile || done.Added != 2 || done.Already != 2 || done.Bad != 0 {
		t.Errorf("%+v", done)
	}
	wants(t, exported(t, env, knowledge.InstrumentFile), "33G 4 mm ultra-thin wall needle,needle,33,4,ultra-thin,0.11",
		"25G 50 mm cannula,cannula,25,50,,", "30G 13 mm needle,needle,30,13,thin,0.165")
}

func TestASheetOfStockIsReadByItsHeadings(t *testing.T) {
	env := demoEnv(t)
	in := openedSheet(t, env, "../lists/stock.csv")
	toldSheet(t, in, "The member is blank in 1 row", "yes")
	toldSheet(t, in, `"32G 6 mm needle"`, "add")
	toldSheet(t, in, `"Gull"`, "skip it")
	open := in.Questions()
	if _, ok := in.plan.Accepts(open[0], "add soft"); ok { // a list of stock puts no gel on the list
		t.Error("a gel was added")
	}
	if _, ok := in.plan.Accepts(in.Questions()[0], "no"); ok { // no answer to what it is
		t.Error("a no was taken for a gel")
	}
	toldSheet(t, in, `"Orick Mid", in 1 row from line 6, is nearly Orrick Mid. What is it?`, "Orrick Mid")
	if done := triedAndTaken(t, in); done.Kind != knowledge.StockFile || done.Added != 4 || done.Already != 1 ||
		done.Out != 1 || done.Bad != 0 {
		t.Errorf("%+v", done)
	}
	wants(t, strings.Join(in.Remarks(), "\n"), "Not read: Qty, Notes. A list of stock has no place for that.")
	wants(t, exported(t, env, knowledge.StockFile), "osier,Orrick Mid,31G 8 mm needle,supplied,2026-10-01",
		"osier,Orrick Firm,,supplied,2026-10-02", "osier,Pellow Lip,32G 6 mm needle,supplied,2026-10-02",
		"tidewell,Orrick Mid,27G 13 mm needle,supplied,2026-10-04")
}

// A list comes in by chat as tests do: what it would bring first, and nothing before a press.
func TestAListComesInByChat(t *testing.T) {
	env, fetched := demoEnv(t), 0
	c := Answer(t.Context(), env, attachedFile(t, askingTrainer, "../lists/needles.csv", &fetched))
	wants(t, c.Text(), "Nothing is stored yet", "4 of instruments", "Entries: 2 to add, 2 there already")
	if list := exported(t, env, knowledge.InstrumentFile); strings.Contains(list, "33G") {
		t.Errorf("stored before a press:\n%s", list)
	}
	wants(t, pressed(t, env, c, askingTrainer, "store 2").Text(), "Entries: 2 added, 2 there already")
}

// Of a book its tests are read, and a list only where it has none.
func TestABookWithTestsBesideListsBringsItsTests(t *testing.T) {
	env := demoEnv(t)
	in := openedSheet(t, env, "../lists/tests-beside.xlsx")
	if done := triedAndTaken(t, in); done.Kind != knowledge.TestFile || done.Added != 1 {
		t.Errorf("%+v", done)
	}
	wants(t, strings.Join(in.Remarks(), "\n"), "The sheet Log was read; not read: Gels, Needles.")
	in = openedSheet(t, env, "../lists/no-tests.xlsx")
	if done := triedAndTaken(t, in); done.Kind != knowledge.InstrumentFile || done.Added != 1 || done.Already != 1 {
		t.Errorf("%+v", done)
	}
	wants(t, strings.Join(in.Remarks(), "\n"), "The sheet Needles was read; not read: Notes.")
}

// How many of something is told of stock as not read; of tests it may be the pull, and is asked.
func TestAnAmountBesideTestsIsAskedAbout(t *testing.T) {
	env, text := demoEnv(t), "Date,Gel,Needle,Seconds,Who,Amount\n2026-03-22,Orrick Mid,27G 13 mm,2.15,osier,0.2\n"
	in, err := OpenSheet(t.Context(), env, askingTrainer, strings.NewReader(text), int64(len(text)),
		knowledge.FileLimits())
	if err != nil {
		t.Fatal(err)
	}
	toldSheet(t, in, `What does the column "Amount" hold? It begins with 0.2.`, "the pull")
	triedAndTaken(t, in)
	wants(t, exported(t, env, knowledge.TestFile),
		"Orrick Mid,27G 13 mm needle,supplied,whole milk,20,0.2,30,flashback,2.15")
}
