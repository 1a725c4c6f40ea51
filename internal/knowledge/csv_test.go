package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/trade"
)

func TestDemoFilesGoThroughTheStoreUnchanged(t *testing.T) {
	s := openStore(t)
	g := demo(t, s, "demo")
	for _, name := range demoFiles {
		if diff := cmp.Diff(string(demoFile(t, name)), g.export(t, name)); diff != "" {
			t.Errorf("%s (-demo +exported):\n%s", name, diff)
		}
	}
	for _, name := range demoFiles {
		report := must(g.Import(t.Context(), name, RowsOf(bytes.NewReader(demoFile(t, name))), Importing{}))(t)
		if report.Added+report.Changed != 0 || report.Already != report.Rows || report.Rows == 0 {
			t.Errorf("%s imported again: %+v", name, report)
		}
	}
}

// importText imports lines with \n between them.
func importText(t testing.TB, g *Group, kind FileKind, skipBad bool, lines ...string) ImportReport {
	t.Helper()
	file := RowsOf(strings.NewReader(strings.Join(lines, "\n") + "\n"))
	return must(g.Import(t.Context(), kind, file, Importing{SkipBad: skipBad}))(t)
}

const (
	testHead = "tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note"
	goodTest = "2026-11-20,osier,Orrick Mid,27G 13 mm needle,supplied,whole milk,21,0.1,30,flashback,5.70,video 30 fps,"
)

func TestLinesAlikeAreAsManyTests(t *testing.T) {
	g := small(t, openStore(t), "local")
	if r := importText(t, g, "tests", false, testHead, goodTest, goodTest); r.Added != 2 {
		t.Errorf("two alike: %+v", r)
	}
	if r := importText(t, g, "tests", false, testHead, goodTest, goodTest, goodTest); r.Added != 1 || r.Already != 2 {
		t.Errorf("a third: %+v", r)
	}
	if r := importText(t, g, "tests", false, testHead, strings.Replace(goodTest, "5.70", "5.7", 1)); r.Added != 0 ||
		r.Already != 1 {
		t.Errorf("written shorter by a spreadsheet: %+v", r)
	}
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	must(g.WithdrawTest(t.Context(), tests[0].ID, Member{Ref: "lantern"}, "wrong box"))(t)
	if r := importText(t, g, "tests", false, testHead, goodTest, goodTest, goodTest); r.Added != 0 || r.Already != 3 {
		t.Errorf("a withdrawn test came back: %+v", r)
	}
	if e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t); e.Counts.Run != 2 {
		t.Errorf("got %+v", e.Counts)
	}
}

func TestBadLinesAreNamedAndNothingIsStored(t *testing.T) {
	cell := strings.Split(goodTest, ",")
	with := func(column int, value string) string {
		changed := append([]string{}, cell...)
		changed[column] = value
		return strings.Join(changed, ",")
	}
	for scene, c := range map[string]struct{ line, problem string }{
		"no such day":            {with(0, "2026-02-30"), `date: "2026-02-30" is not a date`},
		"the future":             {with(0, "2027-01-01"), "in the future"},
		"a stranger":             {with(1, "nobody"), `member: no member goes by "nobody"`},
		"an unknown gel":         {with(2, "Mystery"), `product: "Mystery" is not on the list`},
		"no instrument":          {with(3, ""), "instrument: is missing"},
		"an odd instrument":      {with(3, "a needle"), `needle or cannula: "a needle" is not read`},
		"an odd syringe":         {with(4, "the big one"), `syringe: "the big one" is not read`},
		"no temperature":         {with(6, ""), "liquid_c:"},
		"NaN":                    {with(6, "NaN"), `liquid_c: "NaN" is not a plain number`},
		"infinite":               {with(8, "Inf"), "limit_s:"},
		"negative":               {with(7, "-0.1"), "pull_ml:"},
		"huge":                   {with(7, "1000000000000000000000000000000"), "pull_ml:"},
		"exponent":               {with(8, "3e1"), "limit_s:"},
		"later than watched":     {with(10, "31"), "later than the 30 s watched"},
		"none with seconds":      {with(9, "none"), "none has no seconds"},
		"flashback without":      {with(10, ""), "seconds: is missing"},
		"an odd outcome":         {with(9, "yes"), `outcome: "yes"`},
		"an odd timing":          {with(11, "by eye"), `timing: "by eye"`},
		"somebody's address":     {with(12, "jane@example.org"), "note: looks like an e-mail address"},
		"a control character":    {with(12, "a\x01b"), "note: has a control character"},
		"a tab in a note":        {with(12, "a\tb"), "note: has a control character"},
		"two lines in a note":    {with(12, "\"a\nb\""), "note: has a control character"},
		"too few cells":          {"2026-11-20,osier", "has 2 cells, the heading 13"},
		"too many cells":         {goodTest + ",more", "has 14 cells, the heading 13"},
		"a stray quotation mark": {with(12, `5" wide`), "quotation mark"},
		"an endless cell":        {with(12, strings.Repeat("x", 3000)), "note: is longer than 2000"},
	} {
		g := small(t, openStore(t), "local")
		r := importText(t, g, "tests", false, testHead, goodTest, c.line, goodTest)
		if len(r.Faults) != 1 || r.Faults[0].Line != 3 || !strings.Contains(r.Faults[0].Problem, c.problem) {
			t.Errorf("%s: got %+v, want line 3 with %q", scene, r.Faults, c.problem)
		}
		if r.Added != 0 || r.Rows != 3 || !r.Refused() {
			t.Errorf("%s: %+v", scene, r)
		}
		if n := len(must(g.Tests(t.Context(), TestFilter{}))(t)); n != 0 {
			t.Errorf("%s: %d tests of a refused file were stored", scene, n)
		}
		if r = importText(t, g, "tests", true, testHead, goodTest, c.line, goodTest); r.Added != 2 || len(r.Faults) != 1 || r.Refused() {
			t.Errorf("%s, skipping: %+v", scene, r)
		}
	}
}

func TestAnUnclosedQuotationMarkEndsTheFile(t *testing.T) {
	g := small(t, openStore(t), "local")
	r := importText(t, g, "tests", false, testHead, goodTest, goodTest[:len(goodTest)-1]+`,"open`, goodTest)
	if len(r.Faults) != 1 || r.Faults[0].Line != 3 || r.Added != 0 {
		t.Errorf("got %+v", r)
	}
}

func TestHeadings(t *testing.T) {
	cell := strings.Split(goodTest, ",")
	head := strings.Split(testHead, ",")
	var backHead, backCell []string
	for i := range head {
		backHead, backCell = append(backHead, head[len(head)-1-i]), append(backCell, cell[len(cell)-1-i])
	}
	shortHead := "tested_on,member,product,instrument,liquid,liquid_c,limit_s,outcome,seconds,timing"
	shortCell := "2026-11-20,osier,Orrick Mid,27G 13 mm needle,whole milk,21,30,flashback,5.70,video 30 fps"
	for scene, c := range map[string]struct {
		head, line string
		faults     string // "" for none
		skipped    int    // added when bad lines are skipped
	}{
		"as written":        {testHead, goodTest, "", 1},
		"in another order":  {strings.Join(backHead, ","), strings.Join(backCell, ","), "", 1},
		"in capitals":       {strings.ToUpper(testHead), goodTest, "", 1},
		"spaced":            {strings.ReplaceAll(testHead, ",", " , "), strings.ReplaceAll(goodTest, ",", " , "), "", 1},
		"quoted":            {`"` + strings.ReplaceAll(testHead, ",", `","`) + `"`, `"` + strings.ReplaceAll(goodTest, ",", `","`) + `"`, "", 1},
		"marked as UTF-8":   {"\uFEFF" + testHead, goodTest, "", 1},
		"with CRLF":         {testHead + "\r", goodTest + "\r", "", 1},
		"optional left out": {shortHead, shortCell, "", 1},
		"empty cells after": {testHead + ",,", goodTest + ",,,,", "", 1},
		"an unknown column": {testHead + ",mood", goodTest + ",fine", `column "mood" is not known`, 1},
		"a column missing":  {strings.Replace(testHead, ",outcome", "", 1), goodTest, `column "outcome" is missing`, 0},
		"a column twice":    {testHead + ",note", goodTest + ",x", `column "note" stands there twice`, 0},
		"semicolons":        {strings.ReplaceAll(testHead, ",", ";"), strings.ReplaceAll(goodTest, ",", ";"), "", 1},
		"Latin-1":           {testHead, goodTest + "caf\xe9", "", 1},
		"no heading":        {goodTest, goodTest, "is missing", 0},
	} {
		g := small(t, openStore(t), "local")
		blanks := ",,,"
		if strings.Contains(c.head, ";") {
			blanks = ";;;"
		}
		r := importText(t, g, "tests", false, c.head, c.line, "", blanks)
		if text := fmt.Sprint(r.Faults); (c.faults == "") != (len(r.Faults) == 0) || !strings.Contains(text, c.faults) {
			t.Errorf("%s: %s", scene, text)
		}
		if want := 1; c.faults == "" && r.Added != want || c.faults != "" && r.Added != 0 {
			t.Errorf("%s: %+v", scene, r)
		}
		if c.faults != "" {
			if r = importText(t, g, "tests", true, c.head, c.line); r.Added != c.skipped {
				t.Errorf("%s, skipping: %+v", scene, r)
			}
		}
	}
}

func TestAnEmptyFileIsAFault(t *testing.T) {
	g := small(t, openStore(t), "local")
	for _, name := range demoFiles {
		r := must(g.Import(t.Context(), name, RowsOf(bytes.NewReader(nil)), Importing{SkipBad: true}))(t)
		if len(r.Faults) != 1 || r.Faults[0] != (RowFault{1, "the file is empty"}) {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errBroken }

var errBroken = errors.New("the cable is out")

func TestAReaderThatFailsIsAnError(t *testing.T) {
	g := small(t, openStore(t), "local")
	if _, err := g.Import(t.Context(), TestFile, RowsOf(brokenReader{}), Importing{SkipBad: true}); !errors.Is(err, errBroken) {
		t.Errorf("got %v", err)
	}
}

func TestCellsThatLookLikeFormulasAreHarmlessAndComeBack(t *testing.T) {
	for cell, written := range map[string]string{
		"=1+1": "'=1+1", "+44": "'+44", "-3": "'-3", "@sum": "'@sum", "'=x": "''=x", "''-": "'''-", "＝1": "'＝1",
		"plain": "plain", "'quoted": "'quoted", "": "", "'": "'", "1-2": "1-2",
	} {
		if got := guard(cell); got != written || unguard(got) != cell {
			t.Errorf("%q is written %q and read %q", cell, got, unguard(got))
		}
	}
	g := small(t, openStore(t), "local")
	must(g.AddProduct(t.Context(), trade.Product{Name: "=cmd()", Aliases: []string{"+plus", "@at"}}))(t)
	test := shown(3)
	test.Combination.Product.Name, test.Note = "=cmd()", `-2+3,"quoted"`
	must(g.LogTest(t.Context(), test))(t)
	products, tests := g.export(t, "products"), g.export(t, "tests")
	for _, want := range []string{"'=cmd()", "'+plus;@at"} {
		if !strings.Contains(products, want) {
			t.Errorf("no %q in %s", want, products)
		}
	}
	if !strings.Contains(tests, `"'-2+3,""quoted"""`) {
		t.Errorf("got %s", tests)
	}
	for name, file := range map[FileKind]string{"products": products, "tests": tests} {
		if r := must(g.Import(t.Context(), name, RowsOf(strings.NewReader(file)), Importing{}))(t); r.Already != r.Rows || r.Rows == 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

const filmHead = testHead + ",film_marks,film_link"

func TestFilmsGoThroughAFileAndOlderFilesNeedNone(t *testing.T) {
	s := openStore(t)
	g, other := small(t, s, "local"), small(t, s, "other")
	plain := shown(3)
	filmed := shown(3)
	filmed.Film = Film{Marks: "=0:12.40–0:15.40", Link: "https://films.example/1"}
	must(g.LogTest(t.Context(), plain))(t)
	if file := g.export(t, "tests"); !strings.HasPrefix(file, testHead+"\r\n") {
		t.Errorf("a log without films is written with more: %s", file)
	}
	without := g.export(t, "tests")
	must(g.LogTest(t.Context(), filmed))(t)
	file := g.export(t, "tests")
	if !strings.HasPrefix(file, filmHead+"\r\n") || !strings.Contains(file, ",'=0:12.40–0:15.40,https://films.example/1\r\n") {
		t.Errorf("got %s", file)
	}
	for _, step := range []struct {
		file                    string
		added, already, changed int
	}{{without, 1, 0, 0}, {file, 1, 1, 0}, {file, 0, 2, 0}, {without, 0, 1, 0}} {
		if r := importText(t, other, "tests", false, strings.TrimSuffix(step.file, "\r\n")); r.Added != step.added || r.Already != step.already || r.Changed != step.changed {
			t.Errorf("%+v after\n%s", r, step.file)
		}
	}
	if got := other.export(t, "tests"); got != file {
		t.Errorf("came out as\n%s, want\n%s", got, file)
	}
}

func TestALineBringsAFilmToATestThatHasNone(t *testing.T) {
	g := small(t, openStore(t), "local")
	importText(t, g, "tests", false, testHead, goodTest)
	line := goodTest + ",0:01.00–0:06.70,https://films.example/1"
	for i, want := range []ImportReport{{Rows: 1, Changed: 1}, {Rows: 1, Already: 1}} {
		if r := importText(t, g, "tests", false, filmHead, line); r.Changed != want.Changed || r.Already != want.Already || r.Added != 0 {
			t.Errorf("time %d: %+v", i+1, r)
		}
	}
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	if len(tests) != 1 || tests[0].Film.Link != "https://films.example/1" {
		t.Errorf("got %+v", tests)
	}
	bad := importText(t, g, "tests", false, filmHead, goodTest+",,http://films.example/1")
	if len(bad.Faults) != 1 || !strings.Contains(bad.Faults[0].Problem, "https address") {
		t.Errorf("got %+v", bad)
	}
}

func TestAMembersOwnTestsAreAFile(t *testing.T) {
	g := small(t, openStore(t), "local")
	must(g.LogTest(t.Context(), shown(3)))(t)
	by := shown(4)
	by.Tester = Member{Ref: "lantern"}
	must(g.LogTest(t.Context(), by))(t)
	var out bytes.Buffer
	if err := g.ExportTestsOf(t.Context(), &out, Member{Ref: "lantern"}); err != nil {
		t.Fatal(err)
	}
	if file := out.String(); strings.Count(file, "\n") != 2 || !strings.Contains(file, ",lantern,") || strings.Contains(file, "osier") {
		t.Errorf("got %s", file)
	}
	if err := g.ExportTestsOf(t.Context(), &out, Member{Ref: "nobody"}); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}
