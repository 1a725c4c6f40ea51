package commands

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/knowledge"
)

// Who may do what is a table that a trainer can read, testdata/roles.txt. Every line
// of it is done by everybody; what comes of it is the table.

// rolesPath is where the table is.
var rolesPath = filepath.Join("testdata", "roles.txt")

const rolesHead = `# Who may do what, and what comes of it. An outsider is in no way of the group; a
# newcomer is in its server and has not put anything on record; a trainer has the
# trainers' role, or manages the server. In a direct message nobody is a trainer.
# "-": there is no such thing for them.
`

// roleAskers are the columns. Osier is somebody else.
var roleAskers = []struct {
	column string
	asker  Asker
}{
	{"outsider", askingOutsider},
	{"newcomer", Belonging("newcomer", "newcomer", false)},
	{"member", Belonging(askingMember.Ref, askingMember.Name, false)},
	{"trainer", Belonging(askingTrainer.Ref, askingTrainer.Name, true)},
}

var someTrainer = Belonging("lantern", "lantern", true)

var somebodyElse = Belonging("osier", "osier", false)

// deed is a line of the table: what is typed, after what was typed before. {own}
// and {other} stand for the number of a test of the asker's and of somebody else's.
type deed struct {
	command, what string
	before        []string // "own: …" by the asker, "other: …" by somebody else, "trainer: …" by a trainer
	line          string
	own           string // said by an answer about the asker's own part alone
	yes           bool   // it asks once; the first choice is pressed
}

// deeds are what the first examples do, and beside them what differs by whose it is.
func deeds() []deed {
	const aside, take = "/bench aside orrick mid 31G 8 mm", "/totest take orrick mid 31G 8 mm"
	special := map[string][]deed{
		withdrawName: {
			{what: "a test of one's own", line: "/record withdraw test:{own}"},
			{what: "somebody else's, with a reason", line: "/record withdraw test:{other} reason:\"wrong needle\""},
		},
		restoreName: {
			{what: "a test of one's own", before: []string{"own: /record withdraw test:{own}"},
				line: "/record restore test:{own}"},
			{what: "somebody else's, with a reason", before: []string{"other: /record withdraw test:{other}"},
				line: "/record restore test:{other} reason:\"right after all\""},
		},
		correctName: {
			{what: "a test of one's own", line: "/record correct test:{own} change:\"9.87 s\"", yes: true},
			{what: "somebody else's", line: "/record correct test:{other} change:\"9.87 s\"", yes: true},
		},
		mergeName:  {{line: `/trainer gels merge product:"Orrick Mid" into:"Orrick Firm" reason:"one gel in two boxes"`, yes: true}},
		forgetName: {{line: "/trainer forget member:millbrook", yes: true}},
		undoName: {
			{what: "look", line: "/trainer undo"},
			{what: "what one changed", before: []string{"own: /trainer settings ceiling:12"},
				line: "/trainer undo number:1"},
		},
		startName: {
			{what: "look", line: "/holdbench start"}, {what: "a step", line: "/holdbench start step:4"},
			{what: "set the time zone", line: "/holdbench start zone:Europe/Oslo"},
			{what: "set the trainers", line: "/holdbench start trainers:77"},
			{what: "put gels on the list", line: "/holdbench start gels:\"Brackley Sheer; Brackley Dense\" " +
				"class:\"fine HA\""},
			{what: "put needles on the list", line: "/holdbench start needles:\"25G 16 mm needle\""},
			{what: "say the wall class", line: "/holdbench start wall:thin"},
		},
		settingsName: {{what: "look", line: "/trainer settings"},
			{what: "change", line: "/trainer settings ceiling:12"}},
		giveUpName: {
			{what: "what one has taken on", before: []string{"own: " + take},
				line: "/totest release orrick mid 31G 8 mm"},
			{what: "what somebody else has", before: []string{"other: " + take},
				line: "/totest release orrick mid 31G 8 mm"},
		},
		boxName: {
			{what: "one's own", line: "/bench box"}, {what: "everybody's", line: "/bench box all:yes"},
			{what: "throw away one's own", before: []string{"own: " + aside}, line: "/bench box out:B-1"},
			{what: "throw away somebody else's", before: []string{"other: " + aside}, line: "/bench box out:B-1"},
		},
		benchName: {{what: "the run sheet", before: []string{"own: " + aside}, line: "/bench sheet"}},
		watchName: {{what: "one's own", before: []string{"own: " + aside}, line: "/bench watch label:B-1"}},
		batchName: {
			{what: "results of one's own", before: []string{"own: " + aside}, line: "/bench results B-1 3.4"},
			{what: "results of what somebody else put aside", before: []string{"other: " + aside},
				line: "/bench results B-1 3.4"},
		},
		historyName: {
			{what: "the log", line: "/record history", own: "What you did to the log"},
			{what: "a test of somebody else's", before: []string{"other: /record withdraw test:{other}"},
				line: "/record history test:{other}", own: "Nothing."},
		},
		className: {
			{what: "open one", line: "/trainer class orrick mid 27G 13 mm"},
			{what: "end it", before: []string{"trainer: /trainer class orrick mid 27G 13 mm"},
				line: "/trainer class end:yes"},
		},
		classLogName: {
			{what: "how it stands", before: []string{"trainer: /trainer class orrick mid 27G 13 mm"},
				line: "/bench class"},
			{what: "log in it", before: []string{"trainer: /trainer class orrick mid 27G 13 mm"},
				line: "/bench class 7.13"},
		},
		stockName: {{what: "one's own", line: "/stock add Dunmere Deep 27G 13 mm"}},
	}
	for _, kind := range exportKinds() {
		name := string(kind.FileKind)
		special[exportName] = append(special[exportName], deed{what: name, line: "/record export kind:" + name,
			own: "Your tests as a file"})
	}
	var all []deed
	for _, cmd := range All() {
		lines := special[cmd.Name]
		if lines == nil {
			lines = []deed{{line: cmd.Examples[0]}}
		}
		for _, d := range lines {
			d.command = cmd.Name
			all = append(all, d)
		}
	}
	return all
}

func TestEveryCommandByEveryRole(t *testing.T) {
	if testing.Short() {
		t.Skip("the table is whole or nothing; each command is asked by somebody in other tests")
	}
	t.Parallel()
	var table strings.Builder
	table.WriteString(rolesHead + "\n")
	row := func(first string, cells []string) {
		fmt.Fprintf(&table, "%-55s %s\n", first, strings.TrimRight(fmt.Sprintf("%-9s %-9s %-9s %s", cells[0], cells[1],
			cells[2], cells[3]), " "))
	}
	var columns []string
	for _, a := range roleAskers {
		columns = append(columns, a.column)
	}
	row("", columns)
	// By column, as they were at first: the groups, and what they have on record where it has been looked at.
	groups, ends, records := map[string]*Env{}, map[string]func(){}, map[string]*string{}
	for _, d := range deeds() {
		var cells []string
		for _, a := range roleAskers {
			if groups[a.column] == nil {
				groups[a.column], ends[a.column] = openDemo(t, stopped)
				records[a.column] = new(string)
			}
			cell := d.by(t, groups[a.column], a.asker, records[a.column])
			if cell != "no" || len(d.before) > 0 { // what is refused leaves nothing behind
				ends[a.column]()
				delete(groups, a.column)
			}
			cells = append(cells, cell)
		}
		row(strings.TrimSuffix("/"+d.command+": "+d.what, ": "), cells)
	}
	for column := range groups {
		ends[column]()
	}
	want, err := os.ReadFile(rolesPath)
	if err == nil && string(want) == table.String() {
		return
	}
	if !*update {
		t.Fatalf("%v, -want +got:\n%s", err, cmp.Diff(strings.Split(string(want), "\n"),
			strings.Split(table.String(), "\n")))
	}
	if err := os.WriteFile(rolesPath, []byte(table.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Error("rewritten: read the difference, then run again")
}

// by does the deed in a demo group and says what came of it. Where it was refused
// nothing may have changed, whatever the answer says. record is what the group has on
// record, "" where that has not been looked at.
func (d deed) by(t *testing.T, env *Env, asker Asker, record *string) string {
	t.Helper()
	own, other := int64(0), int64(0)
	if strings.Contains(d.line+strings.Join(d.before, ""), "{") {
		own, other = testOf(t, env, asker.Ref), testOf(t, env, somebodyElse.Ref)
	}
	filled := strings.NewReplacer("{own}", fmt.Sprint(own), "{other}", fmt.Sprint(other)).Replace
	for _, before := range d.before {
		*record = ""
		who, line, _ := strings.Cut(before, ": ")
		by := map[string]Asker{"own": asker, "other": somebodyElse, "trainer": someTrainer}[who]
		if card := says(t, env, by, filled(line)); card.Refused || card.Failed {
			if who == "own" {
				return d.nothing(t, env, asker)
			}
			t.Fatalf("%s: %s", line, card.Text())
		}
	}
	if strings.Contains(d.line, "{own}") && own == 0 {
		return d.nothing(t, env, asker)
	}
	if *record == "" {
		*record = kept(t, env)
	}
	before := *record
	req := Typed(filled(d.line), asker)
	req.At = stopped() // as in a chat
	card := Answer(t.Context(), env, req)
	if d.yes && len(card.Choices) > 0 {
		if after := kept(t, env); after != before {
			t.Errorf("%s by %s asks, and yet:\n%s", d.line, asker.Ref,
				cmp.Diff(strings.Split(before, "\n"), strings.Split(after, "\n")))
		}
		yes := card.Choices[0].Request
		yes.Asker = asker
		card = Answer(t.Context(), env, yes)
	}
	switch {
	case card.Failed || len(card.Choices) > 0:
		t.Errorf("%s by %s: %s", d.line, asker.Ref, card.Text())
		return "?"
	case card.Refused:
		if after := kept(t, env); after != before {
			t.Errorf("%s by %s is refused, and yet:\n%s", d.line, asker.Ref,
				cmp.Diff(strings.Split(before, "\n"), strings.Split(after, "\n")))
		}
		return "no"
	case d.own != "" && (strings.HasPrefix(card.Title, d.own) || card.Verdict == d.own):
		if card.Verdict == d.own {
			return "nothing"
		}
		return "own part"
	}
	return "yes"
}

// nothing is for those who have nothing of their own to do it to: they may still not
// be allowed at all.
func (d deed) nothing(t *testing.T, env *Env, asker Asker) string {
	t.Helper()
	if !asker.Role.Covers(find(All(), d.command).Who) {
		if card := says(t, env, asker, "/"+d.command); !strings.Contains(card.Text(), "not open to you") {
			t.Errorf("/%s by %s: %s", d.command, asker.Ref, card.Text())
		}
		return "no"
	}
	return "-"
}

// testOf is the number of a test that somebody made and that counts; 0 for none.
func testOf(t *testing.T, env *Env, ref string) int64 {
	t.Helper()
	for _, test := range must(env.Group.Tests(t.Context(), knowledge.TestFilter{State: knowledge.Kept}))(t) {
		if test.Tester.Ref == ref {
			return test.ID
		}
	}
	return 0
}

// kept is what a group has on record, its list of members apart: a newcomer stands
// on that from the first thing they try to put on record.
func kept(t *testing.T, env *Env) string {
	t.Helper()
	text := fmt.Sprintf("%+v\n", must(env.Group.Settings(t.Context()))(t))
	for _, kind := range exportKinds() {
		if kind.FileKind == knowledge.MemberFile {
			continue
		}
		var b strings.Builder
		if err := env.Group.Export(t.Context(), kind.FileKind, &b); err != nil {
			t.Fatal(err)
		}
		text += b.String()
	}
	return text + fmt.Sprintf("%+v\n%+v\n", must(env.Group.Claims(t.Context()))(t),
		must(env.Group.Box(t.Context(), 0))(t))
}

// A member's rights are those that come with what they ask, whatever the list of
// members says of them.
func TestRightsAreNotRemembered(t *testing.T) {
	env := demoEnv(t)
	trainer, same := Belonging("lantern", "lantern", true), Belonging("lantern", "lantern", false)
	for _, cmd := range All() {
		if !ForTrainers(cmd) {
			continue
		}
		if card := says(t, env, trainer, cmd.Examples[0]); card.Failed ||
			strings.Contains(card.Text(), "not open to you") {
			t.Errorf("%s by the trainer: %s", cmd.Examples[0], card.Text())
		}
		if card := says(t, env, same, cmd.Examples[0]); !strings.Contains(card.Text(), "not open to you") {
			t.Errorf("%s without the role: %s", cmd.Examples[0], card.Text())
		}
		for _, o := range cmd.Options {
			if names, err := Suggest(t.Context(), env, Request{Command: cmd.Name, Asker: same}, o.Name,
				""); err != nil || names != nil {
				t.Errorf("/%s completes %s without the role: %v, %v", cmd.Name, o.Name, names, err)
			}
		}
	}
	other := testOf(t, env, somebodyElse.Ref)
	line := fmt.Sprintf("/record withdraw test:%d reason:\"wrong needle\"", other)
	if card := says(t, env, same, line); !card.Refused {
		t.Errorf("takes back somebody else's test without the role: %s", card.Text())
	}
	if card := says(t, env, trainer, line); card.Refused {
		t.Errorf("the trainer cannot: %s", card.Text())
	}
}
