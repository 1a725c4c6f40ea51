package discord

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

const notOpen = "is not open to you"

// rolesTable is the commands' own table of who may do what: whether a command is
// open to members in any way.
func rolesTable(t *testing.T) map[string]bool {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "commands", "testdata", "roles.txt"))
	if err != nil {
		t.Fatal(err)
	}
	open := map[string]bool{}
	for _, line := range strings.Split(string(text), "\n") {
		name, is := strings.CutPrefix(line, "/")
		if !is {
			continue
		}
		// outsider, newcomer, member, trainer
		cells := strings.Fields(strings.Replace(name[54:], "own part", "own-part", -1))
		name, _, _ = strings.Cut(strings.TrimSpace(name[:54]), ":")
		if len(cells) != 4 || cells[3] == "no" {
			t.Fatalf("cannot be read: %q", line)
		}
		open[name] = open[name] || cells[2] != "no"
	}
	return open
}

// Every command, by everybody that Discord can tell apart, is as open as the table
// says, and shown to nobody who may not use it.
func TestDiscordKeepsToTheTableOfRoles(t *testing.T) {
	w := twoServers(t)
	open, bench := rolesTable(t), w.guild.ID
	if err := w.group(t).UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.TrainerRole = "77"; return nil }); err != nil {
		t.Fatal(err)
	}
	someone := func(permissions int64, roles ...string) by {
		return by{user: w.bea, server: bench, permissions: permissions, roles: roles}
	}
	askers := map[string]struct {
		by
		trainer bool
	}{
		"a member":                  {someone(0), false},
		"with another role":         {someone(0, "76", "78"), false},
		"with other permissions":    {someone(^permAdministrator &^ permManageServer), false},
		"with the trainers' role":   {someone(0, "76", "77"), true},
		"who manages the server":    {someone(permManageServer), true},
		"an administrator":          {someone(permAdministrator), true},
		"a trainer, but in private": {by{user: w.tess, server: ""}, false},
	}
	w.scene.bot.chosen.Put(w.tess.ID, bench)
	for _, cmd := range commands.All() {
		forMembers, told := open[cmd.Name]
		if !told {
			t.Errorf("/%s is not in the table", cmd.Name)
		}
		for name, who := range askers {
			refused := strings.Contains(w.command(t, who.by, cmd.Name, exampleOptions(cmd)...), notOpen)
			if refused == (forMembers || who.trainer) {
				t.Errorf("/%s, %s: refused %t", cmd.Name, name, refused)
			}
		}
	}
	if all := len(commands.All()); all != len(open) {
		t.Errorf("%d commands are declared and %d are in the table", all, len(open))
	}
	topics := map[string]bool{} // those that members may use anything of
	for name, is := range open {
		topic, _, _ := strings.Cut(name, " ")
		topics[topic] = topics[topic] || is
	}
	for _, d := range declarations() {
		if d.Type != discordgo.ChatApplicationCommand {
			continue
		}
		hidden := d.DefaultMemberPermissions != nil && *d.DefaultMemberPermissions == permManageServer &&
			slices.Equal(*d.Contexts, []discordgo.InteractionContextType{discordgo.InteractionContextGuild})
		if hidden == topics[d.Name] {
			t.Errorf("/%s is open to members: %t, and kept from their menus: %t", d.Name, topics[d.Name], hidden)
		}
	}
}

// Whoever loses the role between a card and the press of its button, or between one
// interaction and the next, has lost it at once; and whoever gains it has it at once.
func TestRightsAreReadFromEachInteraction(t *testing.T) {
	w := twoServers(t)
	g, bench := w.group(t), w.guild.ID
	if err := g.UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.TrainerRole = "77"; return nil }); err != nil {
		t.Fatal(err)
	}
	with, without := by{user: w.bea, server: bench, roles: []string{"77"}}, by{user: w.bea, server: bench}
	tried := 0
	for _, cmd := range commands.All() {
		if !commands.ForTrainers(cmd) {
			continue
		}
		values := map[string]string{}
		for _, o := range exampleOptions(cmd) {
			if text, is := o.Value.(string); is {
				values[o.Name] = text
			} else {
				values[o.Name] = "27"
			}
		}
		carried := w.scene.bot.carry(place{server: bench}, commands.Request{Command: cmd.Name, Values: values},
			maxCustomID-1)
		w.unmoved(t, bench, func() {
			for _, kind := range []byte{askKind, showKind, formKind, askHere, formHere, listKind, listHere} {
				tried++
				if answer := w.use(t, without, string(kind)+carried); !strings.Contains(answer, notOpen) {
					t.Errorf("/%s by a button %q after the role is gone: %.300s", cmd.Name, kind, answer)
				}
			}
		})
		if answer := w.use(t, with, string(askKind)+carried); strings.Contains(answer, notOpen) {
			t.Errorf("/%s by a button with the role: %.300s", cmd.Name, answer)
		}
		if answer := w.use(t, without, string(askKind)+carried); !strings.Contains(answer, notOpen) {
			t.Errorf("/%s: the role is remembered: %.300s", cmd.Name, answer)
		}
	}
	if tried < 15 {
		t.Errorf("only %d buttons tried", tried)
	}
	// The role that makes trainers is another from one moment to the next.
	if err := g.UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.TrainerRole = "78"; return nil }); err != nil {
		t.Fatal(err)
	}
	if answer := w.command(t, with, "trainer settings"); !strings.Contains(answer, notOpen) {
		t.Errorf("the role of before still counts: %.300s", answer)
	}
}

// The buttons under a test are for its tester, whoever sees them.
func TestSomebodyElsesTestIsNotTakenBackByAButton(t *testing.T) {
	w := twoServers(t)
	g, bench := w.group(t), w.guild.ID
	ada, bea := by{user: w.ada, server: bench}, by{user: w.bea, server: bench}
	logged := w.command(t, ada, "log", discordtest.Opt("product", "Orrick Mid"),
		discordtest.Opt("instrument", "27G 13 mm needle"), discordtest.Opt("seconds", "3.1"))
	at := slices.IndexFunc(offers(t, logged), func(carried string) bool { return strings.HasPrefix(carried, "a:record withdraw?") })
	if at < 0 {
		t.Fatalf("no button takes the test back: %s", logged)
	}
	back := offers(t, logged)[at]
	w.command(t, bea, "record history") // so that Bea is on the list of members already
	latest := func() knowledge.BenchTest {
		tests, err := g.Tests(t.Context(), knowledge.TestFilter{Limit: 400})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(tests, func(one knowledge.BenchTest) bool { return one.Tester.Ref == w.ada.ID })
		return tests[i]
	}
	for _, carried := range []string{back, back + "&reason=forged",
		strings.Replace(back, "record withdraw", "record restore", 1)} {
		w.unmoved(t, bench, func() {
			if answer := w.use(t, bea, carried); latest().State != knowledge.Kept ||
				strings.Contains(answer, "no longer counts") {
				t.Errorf("%s takes back somebody else's test: %s", carried, answer)
			}
		})
	}
	if answer := w.use(t, ada, back); latest().State != knowledge.Withdrawn {
		t.Errorf("its tester cannot take it back: %s", answer)
	}
	// A trainer can, and one who is a trainer no more cannot.
	forged := strings.Replace(back, "record withdraw", "record restore", 1) + "&reason=forged"
	if w.use(t, bea, forged); latest().State != knowledge.Withdrawn {
		t.Error("a member puts back somebody else's test")
	}
	bea.permissions = permManageServer
	if answer := w.use(t, bea, forged); latest().State != knowledge.Kept {
		t.Errorf("the trainer cannot put it back: %s", answer)
	}
	bea.permissions = 0
	if w.use(t, bea, back+"&reason=forged"); latest().State != knowledge.Kept {
		t.Error("one who was a trainer takes back somebody else's test")
	}
}
