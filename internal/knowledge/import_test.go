package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
)

func TestFilesOfListsFillInAndDoNotContradict(t *testing.T) {
	for scene, c := range map[string]struct {
		kind    FileKind
		head    string
		first   string
		then    string
		want    ImportReport
		problem string
	}{
		"another alias": {"products", "name,gel_class,aliases,first_stocked", "A,unknown,x,",
			"a,fine HA,y,2026-01-01", ImportReport{Rows: 1, Changed: 1}, ""},
		"the same again": {"products", "name,gel_class,aliases,first_stocked", "A,fine HA,x;y,", "A,fine HA,y,",
			ImportReport{Rows: 1, Already: 1}, ""},
		"another class": {"products", "name,gel_class,aliases,first_stocked", "A,fine HA,,", "A,firm HA,,",
			ImportReport{Rows: 1}, "gel class: A is recorded as fine HA, not firm HA"},
		"another first day": {"products", "name,gel_class,aliases,first_stocked", "A,fine HA,,2026-01-01",
			"A,fine HA,,2026-02-01", ImportReport{Rows: 1}, "first stocked: A is recorded with 2026-01-01"},
		"an alias as a name": {"products", "name,gel_class,aliases,first_stocked", "A,fine HA,x,", "X,fine HA,,", ImportReport{Rows: 1}, `product name: "X" is another name of A`},
		"a name as an alias": {"products", "name,gel_class,aliases,first_stocked", "A,fine HA,x,", "B,fine HA,a,", ImportReport{Rows: 1}, `alias: "a" is a name of A`},
		"a class unheard of": {"products", "name,gel_class", "A,fine HA", "B,jelly", ImportReport{Rows: 1}, `gel class: "jelly"`},
		"a wall found out": {"instruments", "kind,gauge,length_mm,wall,bore_mm", "needle,30,8,,",
			"needle,30,8,thin,0.17", ImportReport{Rows: 1, Changed: 1}, ""},
		"another bore": {"instruments", "kind,gauge,length_mm,wall,bore_mm", "needle,30,8,thin,0.17",
			"needle,30,8,thin,0.18", ImportReport{Rows: 1}, "bore: 30G 8 mm needle is recorded with 0.17 mm, not 0.18"},
		"a name that is not": {"instruments", "name,kind,gauge,length_mm", "30G 8 mm needle,needle,30,8", "31G 8 mm needle,needle,30,8", ImportReport{Rows: 1}, `name: "31G 8 mm needle" is not what the other columns say`},
		"half a gauge": {"instruments", "kind,gauge,length_mm", "needle,30,8", "needle,30.5,8",
			ImportReport{Rows: 1}, "gauge:"},
		"another role": {"members", "member,role", "tern,member", "tern,trainer",
			ImportReport{Rows: 1, Changed: 1}, ""},
		"no role": {"members", "member,role", "tern,trainer", "tern,", ImportReport{Rows: 1, Already: 1},
			""},
		"a role unheard of": {"members", "member,role", "tern,trainer", "gull,boss", ImportReport{Rows: 1}, `role: "boss"`},
		"stocked on another day": {"stock", "member,product,instrument,stocked_on",
			"osier,o mid,27G 13 mm needle,2026-01-01", "osier,Orrick Mid,27G 13 mm needle,2026-02-01",
			ImportReport{Rows: 1, Already: 1}, ""},
		"stock of a gel alone": {"stock", "member,product,instrument,stocked_on", "osier,o mid,,2026-01-01",
			"osier,o mid,30G 13 mm needle,2026-01-01", ImportReport{Rows: 1, Added: 1}, ""},
		"stock of a stranger": {"stock", "member,product,instrument,stocked_on", "osier,o mid,,2026-01-01",
			"nobody,o mid,,2026-01-01", ImportReport{Rows: 1}, "member: no member"},
	} {
		g := small(t, openStore(t), "local")
		if r := importText(t, g, c.kind, false, c.head, c.first); r.Added != 1 {
			t.Errorf("%s: first %+v", scene, r)
			continue
		}
		r := importText(t, g, c.kind, false, c.head, c.then)
		text := fmt.Sprint(r.Faults)
		r.Faults, r.Bad = nil, 0
		if fmt.Sprint(r) != fmt.Sprint(c.want) || (c.problem == "") != (text == "[]") ||
			!strings.Contains(text, c.problem) {
			t.Errorf("%s: got %+v %s", scene, r, text)
		}
	}
}

func TestAFileOfProductsLeavesNoHalfOfABadLine(t *testing.T) {
	g := small(t, openStore(t), "local")
	r := importText(t, g, "products", true, "name,gel_class,aliases", "Fresh,fine HA,one;o mid", "Second,fine HA,two")
	if r.Added != 1 || len(r.Faults) != 1 {
		t.Errorf("got %+v", r)
	}
	if _, err := g.Product(t.Context(), "Fresh"); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
	if _, err := g.Product(t.Context(), "one"); !errors.Is(err, ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

func TestMembersOfTheSameNameAreTheirIdsInFiles(t *testing.T) {
	g := small(t, openStore(t), "local")
	for ref, name := range map[string]string{"1": "Tern", "2": "tern", "3": "osier"} { // and small's own osier
		must(g.Admit(t.Context(), Member{Ref: ref, Name: name}))(t)
	}
	for _, ref := range []string{"1", "2", "3", "osier"} {
		test := shown(3)
		test.Tester = Member{Ref: ref}
		must(g.LogTest(t.Context(), test))(t)
	}
	file := g.export(t, "tests")
	for _, ref := range []string{"1", "2", "3", "osier"} {
		if !strings.Contains(file, ","+ref+",") {
			t.Errorf("%s is not in the file:\n%s", ref, file)
		}
	}
	r := must(g.Import(t.Context(), TestFile, RowsOf(strings.NewReader(file)), Importing{}))(t)
	if r.Already != 4 || r.Added != 0 || len(r.Faults) != 0 {
		t.Errorf("got %+v", r)
	}
	r = importText(t, g, "tests", false, testHead, strings.Replace(goodTest, "osier", "TERN", 1))
	if len(r.Faults) != 1 {
		t.Errorf("a name of two members was taken for one: %+v", r)
	}
}

func TestAnotherHubGoesThroughTheFile(t *testing.T) {
	g := small(t, openStore(t), "local")
	i := must(g.Instrument(t.Context(), "27G 13 mm needle"))(t)
	i.HubMM = 7.5
	must(g.UpdateInstrument(t.Context(), i))(t)
	file := g.export(t, "instruments")
	other := found(t, openStore(t), "other")
	must(other.Import(t.Context(), InstrumentFile, RowsOf(strings.NewReader(file)), Importing{}))(t)
	if got := must(other.Instrument(t.Context(), "27G 13 mm needle"))(t); got.HubMM != 7.5 {
		t.Errorf("got %+v from\n%s", got, file)
	}
	if other.export(t, "instruments") != file {
		t.Error("the file is another after a round")
	}
}

func TestWithdrawnTestsAreInTheHistoryFile(t *testing.T) {
	g := small(t, openStore(t), "local")
	test := must(g.LogTest(t.Context(), shown(5)))(t)
	must(g.WithdrawTest(t.Context(), test.ID, Member{Ref: "lantern"}, "wrong box"))(t)
	if tests := g.export(t, "tests"); strings.Contains(tests, "osier") {
		t.Errorf("a withdrawn test is in the file:\n%s", tests)
	}
	want := "test,action,changed_at,by,reason,state," + filmHead + ",lot,expires\r\n" +
		fmt.Sprint(test.ID) + ",withdrawn,2026-11-25T12:00:00Z,lantern,wrong box,withdrawn,2026-11-20,osier,Orrick " +
		"Mid,27G 13 mm needle,supplied,whole milk,21,0.1,30,flashback,5,video 30 fps,,,,,\r\n"
	if got := g.export(t, "history"); got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestAnImportComputesEachProductOnce(t *testing.T) {
	s := openStore(t)
	g := estimatedDemo(t, s, "demo")
	var estimates, products int
	err := s.look().Row(t.Context(), `
		SELECT COUNT(*), (SELECT COUNT(*) FROM products) FROM estimates e
		JOIN products p ON p.id = e.product_id AND p.log_version = e.log_version`).Scan(&estimates, &products)
	if err != nil || estimates != products || products != 10 {
		t.Errorf("%d estimates of %d products are up to date, %v", estimates, products, err)
	}
	if e := must(g.Evidence(t.Context(), orrickOn27(), 0))(t); e.Counts.Run == 0 {
		t.Error("the import left nothing to ask about")
	}
}

// Both ways say the same, and the one that leaves the estimates leaves all of them.
func TestAnImportUnestimatedSaysTheSameOnceAsked(t *testing.T) {
	s := openStore(t)
	g := demo(t, s, "later", demoFiles[:4]...)
	must(g.Import(t.Context(), TestFile, RowsOf(bytes.NewReader(demoFile(t, "tests"))), Importing{Unestimated: true}))(t)
	var estimates int
	if err := s.look().Row(t.Context(), `SELECT COUNT(*) FROM estimates`).Scan(&estimates); err != nil || estimates > 0 {
		t.Errorf("%d estimates, %v", estimates, err)
	}
	got := must(g.Evidence(t.Context(), orrickOn27(), 0))(t)
	want := must(estimatedDemo(t, s, "demo").Evidence(t.Context(), orrickOn27(), 0))(t)
	said := func(e *Evidence) string {
		return fmt.Sprintf("%s %+v %+v %g", e.State, e.Counts.ByCeiling, e.Advice, e.Surprise)
	}
	if got.Counts.Run == 0 || said(got) != said(want) {
		t.Errorf("%s; want %s", said(got), said(want))
	}
}
