package discord

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
	"holdbench/internal/knowledge/storetest"
	"holdbench/internal/trade"
)

// secret is in all that the one server's group has and the other's has not.
const secret = "Brackwater"

// two are two servers of one bot: Bench has a secret, North has not. Ada and Tess
// are in both, Bea is in Bench alone and Ned in North.
type two struct {
	*scene
	*tap
	north *discordtest.Guild
	bea   *discordtest.User
	ned   *discordtest.User
}

func twoServers(t *testing.T) *two {
	t.Helper()
	s := stage(t, discordtest.Options{})
	w := &two{scene: s, north: s.srv.AddGuild("North"), bea: s.srv.User("bea"), ned: s.srv.User("ned")}
	s.guild.Join(w.bea)
	w.north.Join(s.ada)
	w.north.Join(s.tess, w.north.Role("staff", discordtest.ManageGuild))
	w.north.Join(w.ned)
	s.bot.limits = nil // what is refused is looked at here, not how much
	w.tap = tapped(s)
	s.start(t)
	s.ready(t)
	for _, server := range []string{s.guild.ID, w.north.ID} {
		if _, err := s.bot.env(t.Context(), server); err != nil {
			t.Fatal(err)
		}
	}
	for _, server := range []string{s.guild.ID, w.north.ID} {
		until(t, "the welcome is delivered", func() bool { // it is a row, too
			rows := storetest.RowsOf(t, s.store.Name(), server)
			return strings.Contains(rows, "'welcome'") && !strings.Contains(rows, "'claimed'")
		})
	}
	keepSecret(t, s.group(t))
	return w
}

// keepSecret puts something secret into every part of a group's log.
func keepSecret(t *testing.T, g *knowledge.Group) {
	t.Helper()
	ctx, member := t.Context(), knowledge.Member{Ref: "secretive", Name: secret + " Member"}
	_, err := g.Admit(ctx, member)
	_, err2 := g.AddProduct(ctx, trade.Product{Name: secret + " Deep", Class: calc.MediumHA})
	c := trade.Combination{Product: trade.Product{Name: secret + " Deep"},
		Instrument: trade.Instrument{Kind: trade.Needle, Gauge: 27, LengthMM: 13}}
	test := knowledge.BenchTest{Combination: c, Tester: member, TestedOn: "2026-11-20", Liquid: "whole milk",
		LiquidC: 21, PullML: 0.1, WatchedS: 30,
		Outcome: knowledge.Flashback, Seconds: 3, Timing: "stopwatch", Note: secret + " note"}
	_, err3 := g.LogTest(ctx, test)
	_, err4 := g.AddStock(ctx, knowledge.StockItem{Member: member, Combination: c, StockedOn: "2026-11-20"})
	_, err5 := g.PutAside(ctx, knowledge.BoxItem{Member: member, Combination: c, PutOn: "2026-11-20"})
	c.Instrument.Gauge = 30
	_, err6 := g.TakeOn(ctx, member, c, "")
	if err := errors.Join(err, err2, err3, err4, err5, err6,
		g.UpdateSettings(ctx, func(to *knowledge.Settings) error {
			to.TrainerRole = secret +
				" role"
			return nil
		})); err != nil {
		t.Fatal(err)
	}
}

// unmoved fails unless what is done leaves a server's rows as they are.
func (w *two) unmoved(t *testing.T, server string, do func()) {
	t.Helper()
	w.estimatesMade(t, server)
	before := storetest.RowsOf(t, w.store.Name(), server)
	if before == "" {
		t.Fatal("nothing there")
	}
	do()
	if after := storetest.RowsOf(t, w.store.Name(), server); after != before {
		t.Errorf("rows of %s changed:\n%s", server, storetest.Changed(before, after))
	}
}

// estimatesMade waits for the estimates that what was logged before has set off: they
// are made in the background and are rows, too.
func (w *two) estimatesMade(t *testing.T, server string) {
	t.Helper()
	g, err := w.store.Group(t.Context(), server)
	if err != nil {
		t.Fatal(err)
	}
	v, err := g.Vocabulary(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range v.Products {
		if err := g.EstimateMade(t.Context(), p.ID); err != nil {
			t.Fatal(err)
		}
	}
}

// in is somebody in a server: Tess manages both.
func (w *two) in(u *discordtest.User, server string) by {
	who := by{user: u, server: server}
	if u == w.tess && server != "" {
		who.permissions = permManageServer
	}
	return who
}

// harvest asks every command as its example does, and returns what the buttons,
// lists and forms of the answers carry.
func (w *two) harvest(t *testing.T, who by) (all []string) {
	t.Helper()
	seen := map[string]bool{}
	for _, cmd := range commands.All() {
		answers := []string{w.command(t, who, cmd.Name), w.command(t, who, cmd.Name, exampleOptions(cmd)...)}
		if cmd.Free {
			answers = append(answers, w.command(t, who, cmd.Name, discordtest.Opt(textOption, secret+" deep 27g 13mm")),
				w.command(t, who, cmd.Name, discordtest.Opt(textOption, "orrick 27g 13mm")))
		}
		for _, carried := range offers(t, strings.Join(answers, "\n")) {
			if !seen[carried] {
				seen[carried] = true
				all = append(all, carried)
			}
		}
	}
	return all
}

// A button, a list or a form of one server does nothing in another, and nothing for
// somebody who is not in its own.
func TestWhatIsMadeInOneServerDoesNothingInAnother(t *testing.T) {
	w := twoServers(t)
	made := w.harvest(t, w.in(w.tess, w.guild.ID))
	private := w.harvest(t, w.in(w.bea, ""))
	if len(made) < 40 || len(private) < 20 {
		t.Fatalf("only %d and %d things to press", len(made), len(private))
	}
	kinds := map[byte]int{}
	for _, carried := range append(made, private...) {
		kinds[carried[0]]++
	}
	for _, kind := range []byte{askKind, showKind, formKind, ':'} {
		if kinds[kind] == 0 {
			t.Errorf("nothing of the kind %q to press: %v", kind, kinds)
		}
	}
	w.unmoved(t, w.guild.ID, func() {
		w.unmoved(t, w.north.ID, func() {
			for _, carried := range made {
				for _, who := range []by{w.in(w.ada, w.north.ID), w.in(w.tess, w.north.ID), w.in(w.ned, w.north.ID),
					w.in(w.ned, "")} {
					w.knowsNothing(t, who, carried)
				}
			}
			for _, carried := range private {
				for _, who := range []by{w.in(w.tess, w.north.ID), w.in(w.ned, w.north.ID), w.in(w.ned, "")} {
					w.knowsNothing(t, who, carried)
				}
			}
		})
	})
}

// knowsNothing fails unless whoever uses it is told that it is not known, or in
// private that they are not in its server, and nothing else.
func (w *two) knowsNothing(t *testing.T, who by, carried string) {
	t.Helper()
	answer := w.use(t, who, carried)
	nothing := strings.Contains(answer, "What this button asks for is no longer known here.") ||
		who.server == "" && strings.Contains(answer, "You are in no server that I am in.")
	if !nothing || strings.Contains(answer, secret) {
		t.Errorf("%s, pressed by %s in %q: %.300s", carried, who.user.Name, who.server, answer)
	}
}

// What somebody makes up is asked as if it had been typed where they are: it shows
// and changes nothing of a server they name, nor of one they are not in.
func TestAForgedButtonReachesNoOtherServer(t *testing.T) {
	w := twoServers(t)
	bench := w.guild.ID
	var forged []string
	for _, cmd := range commands.All() {
		for _, parts := range []string{"", "product=Brackwater+Deep", "test=1&reason=forged", "A=1/1/1",
			"A=11/1/1", "kind=members", "kind=history", "T=brackwater+deep+27g+13mm", "out=B-1", "ceiling=3",
			"zone=UTC", "results=B-1+3.1", "by=everybody"} {
			for _, server := range []string{"", "&H=" + bench, "&H=" + signOf(bench), "&H=" + bench + "&H=",
				"&server=" + bench, "&K=1&H=" + w.north.ID + "&H=" + bench} {
				forged = append(forged, cmd.Name+"?"+parts+server)
			}
		}
	}
	passerBy := w.srv.User("passer-by") // asked about at Discord once: it takes 30 requests a second
	w.unmoved(t, bench, func() {
		for i, line := range forged {
			who := []by{w.in(w.tess, w.north.ID), w.in(w.ned, w.north.ID), w.in(w.ned, ""), w.in(passerBy, "")}[i%4]
			kind := []string{"a:", "s:", "m:", ":"}[i/4%4]
			if answer := w.use(t, who, kind+line); strings.Contains(answer, secret+" ") &&
				!strings.Contains(answer, "“"+secret) && !ownForm(line, answer) {
				t.Errorf("%s%s, by %s in %q: %.300s", kind, line, who.user.Name, who.server, answer)
			}
		}
	})
}

// What is suggested where one types is of the server where one types.
func TestNothingOfAnotherServerIsCompleted(t *testing.T) {
	w := twoServers(t)
	tried := 0
	for _, cmd := range commands.All() {
		for _, o := range cmd.Options {
			if o.Suggest == nil {
				continue
			}
			tried++
			for _, typed := range []string{"", "B", "brackw"} {
				for _, who := range []by{w.in(w.tess, w.north.ID), w.in(w.ned, w.north.ID), w.in(w.ned, "")} {
					answer := w.send(t, who, autocompleteInteraction,
						map[string]any{"name": cmd.Name, "type": chatCommandType,
							"options": []map[string]any{{"name": o.Name, "value": typed, "focused": true}}})
					if strings.Contains(answer, secret) {
						t.Errorf("/%s %s:%q by %s: %s", cmd.Name, o.Name, typed, who.user.Name, answer)
					}
				}
			}
		}
	}
	seen := w.send(t, w.in(w.tess, w.guild.ID), autocompleteInteraction,
		map[string]any{"name": "hold", "type": chatCommandType,
			"options": []map[string]any{{"name": "product", "value": "brackw", "focused": true}}})
	if tried < 5 || !strings.Contains(seen, secret+" Deep") {
		t.Errorf("%d options tried; in its own server: %s", tried, seen)
	}
}

// ownForm reports whether an answer is a form with the forger's own words in it.
func ownForm(line, answer string) bool {
	return strings.Contains(line, "product=") && strings.HasPrefix(answer, fmt.Sprintf(`{"type":%d`, answerForm))
}
