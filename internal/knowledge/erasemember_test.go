package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/database"
	"holdbench/internal/database/databasetest"
)

// The person who is erased in these tests: id and name stand nowhere by chance.
const (
	goneRef  = "100200300400500600"
	goneName = "Zephyrine Quill"
)

// leavesTraces has the person do everything that stores something, and others
// write about them. It returns the person and the number of one of their tests.
func leavesTraces(t *testing.T, g *Group) (gone Member, test int64) {
	t.Helper()
	ctx, osier := t.Context(), Member{Ref: "osier"}
	gone = must(g.Admit(ctx, Member{Ref: goneRef, Name: goneName, Role: TrainerRole}))(t)
	own := shown(3.1)
	own.Tester, own.RequestKey, own.Note = gone, "key of a test", "second tip of "+goneName
	own.Film = Film{Marks: "0:12.40–0:15.50", Link: "https://discord.com/channels/1/2/3"}
	test = must(g.LogTest(ctx, own))(t).ID
	own.RequestKey, own.Note, own.Film = "", "", Film{}
	withdrawn := must(g.LogTest(ctx, own))(t)
	must(g.WithdrawTest(ctx, withdrawn.ID, gone, "zephyrine quill's own slip"))(t)
	other := shown(2.9)
	other.Tester, other.Note = osier, "like ZEPHYRINE QUILL had it; Zephyrine  Quill filmed"
	seen := must(g.LogTest(ctx, other))(t)
	must(g.CheckTest(ctx, seen.ID, gone))(t)
	must(g.LookAtSetup(ctx, seen.Combination, gone))(t)
	must(g.AddStock(ctx, StockItem{Member: gone, Combination: orrickOn27()}))(t)
	must(g.RenameProduct(ctx, must(g.Product(ctx, "Orrick Mid"))(t).ID, "Orrick Middle", gone,
		"Zephyrine Quill says so"))(t)
	c := orrickOn27()
	c.Product.Name = "Orrick Middle"
	claim := must(g.TakeOn(ctx, gone, c, ""))(t)
	n, _, err := g.ClaimNotice(ctx, ClaimReminder, fmt.Sprint(claim.ID))
	if err == nil {
		err = g.CompleteNotice(ctx, n, "77")
	}
	if err != nil {
		t.Fatal(err)
	}
	must(func() (bool, error) {
		_, mine, err := g.ClaimNotice(ctx, VerdictNews, fmt.Sprintf("%d change 9", gone.ID))
		return mine, err
	}())(t)
	put := must(g.PutAside(ctx, BoxItem{Member: gone, Combination: c, RequestKey: "key of an item"}))(t)
	must(g.TakeOut(ctx, put.ID, gone))(t)
	must(g.PutAside(ctx, BoxItem{Member: gone, Combination: c}))(t)
	must(g.LogBatch(ctx, gone, "key of a batch", []BoxResult{{Number: 99, Test: own}}))(t)
	if err := g.SetChoices(ctx, gone, Choices{MayMention: true, TellVerdicts: true}); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(g.NoteAsked(ctx, gone, c, "2026-11-25"),
		g.KeepUnconfirmed(ctx, gone, Unconfirmed{What: "7 s", How: "was stored for Zephyrine", At: stopped}),
		g.store.AnswerDirect(ctx, goneRef, g.ref)); err != nil {
		t.Fatal(err)
	}
	return gone, test
}

// mentionsGone are the rows of every table that hold the person's id or name in
// any column, whatever tables there are.
func mentionsGone(t *testing.T, s *Store) (rows []string) {
	t.Helper()
	q := s.look()
	for _, shape := range must(s.db.Tables(t.Context()))(t) {
		for _, text := range must(database.Collect(t.Context(), q, scanAny, `SELECT * FROM `+shape.Name))(t) {
			if folded := strings.ToLower(text); strings.Contains(folded, goneRef) ||
				strings.Contains(folded, "zephyrine") || strings.Contains(folded, "quill") {
				rows = append(rows, shape.Name+": "+text)
			}
		}
	}
	return rows
}

func TestAnErasedMemberIsInNoRowOfAnyTable(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := small(t, s, "local")
	gone, test := leavesTraces(t, g)
	if before := mentionsGone(t, s); len(before) != 6 {
		t.Fatalf("the traces to be erased are not there: %q", before)
	}
	before := len(must(g.Tests(t.Context(), TestFilter{}))(t))
	e := must(g.EraseMember(t.Context(), gone))(t)
	if e.Tests != 2 || e.Stock != 1 || e.Claims != 1 || e.Asked != 1 || e.Renamed < 4 {
		t.Errorf("%+v", e)
	}
	for _, row := range mentionsGone(t, s) {
		t.Errorf("still there: %s", row)
	}
	for _, key := range []string{"key of a test", "key of an item", "key of a batch", "channels/1/2/3", "zephyrine"} {
		if rows := communityRows(t, s, "local"); strings.Contains(strings.ToLower(rows), key) {
			t.Errorf("%q is still in\n%s", key, rows)
		}
	}
	tests := must(g.Tests(t.Context(), TestFilter{}))(t)
	if len(tests) != before {
		t.Errorf("%d tests of %d are left", len(tests), before)
	}
	left := must(g.Test(t.Context(), test))(t)
	if left.Tester.Name != FormerMember || left.Tester.ID != gone.ID || left.Tester.Role != MemberRole ||
		left.Film.Link != "" || left.Film.Marks == "" || left.Note != "second tip of a former member" {
		t.Errorf("the test that stays: %+v", left)
	}
	for _, c := range must(g.Changes(t.Context(), ChangeFilter{MemberID: gone.ID}))(t) {
		if c.By.Name != FormerMember {
			t.Errorf("history: %+v", c)
		}
	}
	for _, find := range []Member{{Ref: goneRef}, gone} {
		if _, err := g.EraseMember(t.Context(), find); !errors.Is(err, ErrNotFound) {
			t.Errorf("erased again: %v", err)
		}
	}
	if refs, chosen, err := s.CommunitiesOf(t.Context(), goneRef); len(refs) != 0 || chosen != "" || err != nil {
		t.Errorf("still of %v, %q, %v", refs, chosen, err)
	}
}

// A name must not lie on in what the engine has freed, for backups copy that too.
func TestAnErasedMemberIsNotInTheFileEither(t *testing.T) {
	t.Parallel()
	if databasetest.OnPostgres() {
		t.Skip("PostgreSQL keeps its files to itself and vacuums them on its own")
	}
	path := filepath.Join(t.TempDir(), "bot.db")
	s := openAt(t, path)
	g := small(t, s, "local")
	gone, _ := leavesTraces(t, g)
	must(g.EraseMember(t.Context(), gone))(t)
	copied := filepath.Join(t.TempDir(), "backup.db")
	must(s.Backup(t.Context(), Target{Path: copied}))(t)
	if err := s.Close(); err != nil { // what is beside the file goes into it
		t.Fatal(err)
	}
	for _, file := range []string{path, copied} {
		data := bytes.ToLower(must(os.ReadFile(file))(t))
		for _, word := range []string{goneRef, "zephyrine", "quill"} {
			if i := bytes.Index(data, []byte(word)); i >= 0 {
				t.Errorf("%s: %q at byte %d", filepath.Base(file), data[max(0, i-40):i+40], i)
			}
		}
	}
}

func TestWhoComesBackAfterErasureIsNew(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := small(t, s, "local")
	gone, test := leavesTraces(t, g)
	must(g.EraseMember(t.Context(), gone))(t)
	back := must(g.Admit(t.Context(), Member{Ref: goneRef, Name: goneName}))(t)
	if back.ID == gone.ID {
		t.Fatal("the old row is taken up again")
	}
	r := must(g.RecordOf(t.Context(), back))(t)
	if len(r.Tests)+len(r.Stock)+len(r.Claims)+len(r.Box)+len(r.Asked)+len(r.Done) != 0 || r.Choices != (Choices{}) {
		t.Errorf("starts with %+v", r)
	}
	if old := must(g.Test(t.Context(), test))(t); old.Tester.ID != gone.ID {
		t.Errorf("the old test is by %+v", old.Tester)
	}
}

func TestEstimatesStillTellFormerMembersApart(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	g := demo(t, s, "local")
	ctx := t.Context()
	tested := must(g.Tested(ctx))(t)
	say := func() (text string) {
		for _, c := range tested {
			e := must(g.Evidence(ctx, c.Combination, 0))(t)
			text += fmt.Sprintln(c.Combination, asShown(e), e.Surprise, e.Tests.Len())
			for test := range e.Tests.All() {
				text += fmt.Sprintln(test.Seconds, test.Slip, test.Trial.Hand)
			}
		}
		return text
	}
	want := say()
	before := must(g.Testers(ctx))(t)
	members := must(g.Members(ctx))(t)
	for _, m := range members[:2] {
		must(g.EraseMember(ctx, m))(t)
	}
	if got := say(); got != want {
		t.Error("an erasure changed an estimate")
	}
	after := must(g.Testers(ctx))(t)
	if len(after) != len(before) {
		t.Fatalf("%d testers of %d", len(after), len(before))
	}
	formers := 0
	for i, a := range after {
		if a.Tests != before[i].Tests || math.Abs(a.Ratio-before[i].Ratio) > 1e-9 { // sums in another order
			t.Errorf("tester %d: %+v, was %+v", i, a, before[i])
		}
		if a.Member.Name == FormerMember {
			formers++
		}
	}
	if formers != 2 {
		t.Errorf("%d former members among the testers", formers)
	}
	// Files tell them apart too, and are read back.
	var members2, tests bytes.Buffer
	if err := errors.Join(g.Export(ctx, MemberFile, &members2), g.Export(ctx, TestFile, &tests)); err != nil {
		t.Fatal(err)
	}
	again := demo(t, s, "again", "products", "instruments")
	for _, file := range []struct {
		data *bytes.Buffer
		kind FileKind
	}{{&members2, "members"}, {&tests, "tests"}} {
		report := must(again.Import(ctx, file.kind, RowsOf(bytes.NewReader(file.data.Bytes())), Importing{}))(t)
		if len(report.Faults) > 0 || report.Added == 0 {
			t.Errorf("%s: %+v", file.kind, report)
		}
	}
}

func TestANameThatIsAWordOfTheTradeStaysInNotes(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"Needle":        "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it",
		"Orrick":        "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it",
		"Bo":            "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it",
		"Ann-Marie":     "needle clogged, Orrick Mid was cold, Bo and a former member saw it",
		"Bo and (x":     "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it",
		"clog":          "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it",
		"marie saw":     "needle clogged, Orrick Mid was cold, Bo and Ann-a former member it",
		"Bo and Ann":    "needle clogged, Orrick Mid was cold, a former member-Marie saw it",
		"Orrick Nobody": "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it",
	} {
		g := small(t, openStore(t), "local")
		m := must(g.Admit(t.Context(), Member{Ref: "5551", Name: name}))(t)
		other := shown(3)
		other.Note = "needle clogged, Orrick Mid was cold, Bo and Ann-Marie saw it"
		logged := must(g.LogTest(t.Context(), other))(t)
		must(g.EraseMember(t.Context(), m))(t)
		if got := must(g.Test(t.Context(), logged.ID))(t).Note; got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func TestTheRecordOfAMemberIsWhole(t *testing.T) {
	t.Parallel()
	g := small(t, openStore(t), "local")
	gone, _ := leavesTraces(t, g)
	r := must(g.RecordOf(t.Context(), gone))(t)
	if len(r.Tests) != 2 || len(r.Stock) != 1 || len(r.Claims) != 1 || len(r.Box) != 2 || len(r.Asked) != 1 ||
		len(r.Done) != 4 || r.Emptied != 1 || r.Batches != 1 || r.Since.IsZero() {
		t.Errorf("%+v", r)
	}
	var file bytes.Buffer
	if err := g.ExportRecord(t.Context(), &file, gone); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"platform id," + goneRef, "shown name," + goneName, "second tip of", "channels/1/2/3",
		"withdrawn", "stock,", "taken on,", "put aside,", "asked about,", "checked"} {
		if !strings.Contains(file.String(), part) {
			t.Errorf("%q is not in\n%s", part, file.String())
		}
	}
	if _, err := g.RecordOf(t.Context(), Member{Ref: "nobody"}); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
}

// Every column that points at a member is either emptied or told of: a new one
// has to be thought of here.
func TestTheColumnsThatPointAtAMemberAreKnown(t *testing.T) {
	t.Parallel()
	s := openStore(t)
	var got []string
	for _, shape := range must(s.db.Tables(t.Context()))(t) {
		if !slices.Contains(shape.PointsAt, "members") {
			continue
		}
		for _, c := range shape.Columns {
			if c == "member_id" || c == "tester_id" || c == "left_by" || c == "entered_by" {
				got = append(got, shape.Name+"."+c)
			}
		}
	}
	slices.Sort(got)
	want := "asked.member_id batches.member_id box_items.left_by box_items.member_id claims.member_id " +
		"imports.member_id list_changes.member_id setup_looks.member_id stock.member_id test_changes.member_id test_checks.member_id " +
		"tests.entered_by tests.tester_id unconfirmed.member_id watches.member_id"
	if strings.Join(got, " ") != want {
		t.Errorf("%s", strings.Join(got, " "))
	}
}
