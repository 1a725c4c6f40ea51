package jobs

import (
	"database/sql"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

var update = flag.Bool("update", false, "rewrite the transcripts, then fail once so that the difference is read")

// scene is a community, what happened in it, and what is posted then.
type scene struct {
	file, about string
	job         string
	found       func(*testing.T, *bench) *knowledge.Group
	happens     func(*testing.T, *bench, *knowledge.Group)
	now         time.Time
}

func founded(t *testing.T, b *bench) *knowledge.Group { return b.demo(t) }

func foundedSmall(t *testing.T, b *bench) *knowledge.Group {
	return b.small(t, "300000000000000002", "UTC", time.Monday, 9)
}

var scenes = []scene{
	{"prompt", "Four tests last week, one of them of something new in stock; one combination is taken on; two " +
		"members agreed to be mentioned.", "weekly-prompt", founded, aWeekOfTests, monday},
	{"prompt-missed", "The program was off on the last prompt's day: this one tells of two weeks, and of who did " +
		"what they had taken on.", "weekly-prompt", foundedSmall, aMissedDay, monday},
	{"prompt-learned", "Everything in stock is settled: only what was learned.", "weekly-prompt", foundedSmall,
		onlyLearned, monday},
	{"prompt-silent", "Everything in stock is taken on and nobody tested.", "weekly-prompt", foundedSmall, allTaken,
		monday},
	{"claims", "One member has two tests due tomorrow, another one.", "claims", founded, dueTomorrow, monday},
	{"bench-session-full", "Five syringes wait in a member's box.", "bench-session", founded, fullBox, monday},
	{"bench-session-old", "Two wait, the older for 25 days; the group tests within 28.", "bench-session", founded,
		oldBox, monday.AddDate(0, 0, 25)},
	{"class-over", "The hour of a class is over: two testers, two tests each.", "class-over", foundedSmall, aClassOfTwo,
		monday.Add(10 * time.Hour)},
	{"corrections", "A trainer corrected a test the day before; its maker corrected another.", "corrections",
		foundedSmall, corrected, monday},
	{"verdict-news", "New tests settled what a member asked about three days before.", "verdict-news", foundedSmall,
		newsOfOne, monday},
	{"method-news", "The group began with another way of advising holds.", "method-news", foundedSmall, anotherMethod,
		monday},
}

func aWeekOfTests(t *testing.T, b *bench, g *knowledge.Group) {
	ctx := t.Context()
	b.clock.set(monday.AddDate(0, 0, -4))
	fresh := trade.Combination{Product: trade.Product{Name: "Orrick Firm"}, Instrument: needle(30)}
	for _, m := range []string{"quayside", "osier"} {
		must(g.AddStock(ctx, knowledge.StockItem{Member: knowledge.Member{Ref: m}, Combination: fresh}))(t)
	}
	for _, m := range []string{"quayside", "millbrook"} {
		if err := g.SetChoices(ctx, knowledge.Member{Ref: m}, knowledge.Choices{MayMention: true}); err != nil {
			t.Fatal(err)
		}
	}
	for i, by := range []string{"osier", "osier", "quayside"} {
		must(g.LogTest(ctx, shown(orrick(30), knowledge.Member{Ref: by}, "2026-11-18", 2+float64(i)/2)))(t)
	}
	must(g.LogTest(ctx, shown(fresh, osier, "2026-11-19", 7)))(t)
	open := must(g.Untested(ctx, "2026-11-19"))(t)
	must(g.TakeOn(ctx, osier, open[0].Combination, "2026-11-27"))(t)
}

func aMissedDay(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -16))
	must(g.TakeOn(t.Context(), osier, orrick(27), "2026-11-14"))(t)
	b.tick(t, monday.AddDate(0, 0, -14))
	b.platform.seen, b.platform.calls = nil, nil
	b.clock.set(monday.AddDate(0, 0, -10))
	tested(t, g, "2026-11-13")
	must(g.LogTest(t.Context(), shown(orrick(30), osier, "2026-11-13", 4)))(t)
	b.clock.set(monday.AddDate(0, 0, -2))
	must(g.LogTest(t.Context(), shown(orrick(30), osier, "2026-11-21", 4)))(t)
}

func onlyLearned(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -2))
	tested(t, g, "2026-11-20")
}

func allTaken(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -2))
	must(g.TakeOn(t.Context(), osier, orrick(27), "2026-11-27"))(t)
}

func dueTomorrow(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -5))
	open := must(g.Untested(t.Context(), "2026-11-18"))(t)
	for i, m := range []knowledge.Member{osier, osier, millbrook} {
		must(g.TakeOn(t.Context(), m, open[i].Combination, "2026-11-24"))(t)
	}
}

func fullBox(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -3))
	for range 3 {
		must(g.PutAside(t.Context(), knowledge.BoxItem{Member: osier, Combination: orrick(27)}))(t)
	}
	for range 2 {
		must(g.PutAside(t.Context(), knowledge.BoxItem{Member: osier, Combination: orrick(30), PutOn: "2026-11-18"}))(t)
	}
}

func oldBox(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday)
	must(g.PutAside(t.Context(), knowledge.BoxItem{Member: osier, Combination: orrick(27)}))(t)
	b.clock.set(monday.AddDate(0, 0, 20))
	must(g.PutAside(t.Context(), knowledge.BoxItem{Member: osier, Combination: orrick(30)}))(t)
}

func corrected(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -1))
	old := must(g.LogTest(t.Context(), shown(orrick(27), osier, "2026-11-21", 27.1)))(t)
	now := old
	now.Seconds, now.SecondsTyped = 7.31, "7.31"
	must(g.CorrectTest(t.Context(), old.ID, now, knowledge.Member{Ref: "lantern"}, "misread (27.1 s → 7.31 s)"))(t)
	own := must(g.LogTest(t.Context(), shown(orrick(27), osier, "2026-11-21", 6)))(t)
	must(g.CorrectTest(t.Context(), own.ID, shown(orrick(27), osier, "2026-11-20", 6), osier, "the day before"))(t)
}

func aClassOfTwo(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.Add(9*time.Hour - 3*time.Minute))
	classOfTwo(t, g)
	b.clock.set(monday.Add(10 * time.Hour))
}

func newsOfOne(t *testing.T, b *bench, g *knowledge.Group) {
	b.clock.set(monday.AddDate(0, 0, -1))
	err := errors.Join(g.NoteAsked(t.Context(), osier, orrick(27), "2026-11-19"),
		g.SetChoices(t.Context(), osier, knowledge.Choices{TellVerdicts: true}))
	if err != nil {
		t.Fatal(err)
	}
	tested(t, g, "2026-11-22")
}

// anotherMethod is what a group has that was there before the method changed.
func anotherMethod(t *testing.T, b *bench, g *knowledge.Group) {
	must(g.LogTest(t.Context(), shown(orrick(27), osier, "2026-09-20", 3)))(t)
	db := must(sql.Open("sqlite3", b.path))(t)
	defer db.Close()
	must(db.Exec(`UPDATE communities SET first_method = 1`))(t)
}

// alwaysSaid is in every post, benchSaid in those that bear on bench work. They
// are written out here on purpose: a post that lost one must fail.
var (
	alwaysSaid = []string{"not mean the tip is outside a vessel", "tissue is not the bench",
		"not for a similar one", "Local protocol", "reversal agent"}
	benchSaid = []string{"on the bench goes near a patient", "never your own or anybody's blood", "no recapping",
		"Expired or leftover gel only"}
)

func TestEveryJobHasAScene(t *testing.T) {
	t.Parallel()
	shown := map[string]bool{}
	for _, s := range scenes {
		shown[s.job] = true
	}
	for _, job := range All() {
		if !shown[job.Name] {
			t.Errorf("no scene shows what %s posts", job.Name)
		}
	}
}

func TestTranscripts(t *testing.T) {
	t.Parallel()
	for _, s := range scenes {
		t.Run(s.file, func(t *testing.T) {
			b := newBench(t, monday.AddDate(0, 0, -60))
			g := s.found(t, b)
			s.happens(t, b, g)
			previewed := must(Preview(t.Context(), g, Find(s.job), s.now))(t)
			b.clock.set(s.now)
			if err := b.runner(b.store).Do(t.Context(), g, Find(s.job)); err != nil {
				t.Fatal(err)
			}
			text, said := "# "+s.about+"\n", ""
			for _, p := range previewed {
				said += "\n" + p.Text()
			}
			for _, p := range b.platform.seen {
				text += "\n" + p.Text()
				checkPost(t, s, p)
			}
			if len(b.platform.seen) == 0 {
				text += "\n(nothing is posted)\n"
			} else if d := cmp.Diff(said, strings.SplitN(text, "\n", 2)[1]); d != "" {
				t.Errorf("the preview differs from the post (-preview +post):\n%s", d)
			}
			compare(t, filepath.Join("testdata", "transcripts", s.file+".txt"), text)
		})
	}
}

// The bounds of a chat platform's message (Discord's published limits).
func checkPost(t *testing.T, s scene, p Post) {
	t.Helper()
	want := alwaysSaid
	if s.job != "verdict-news" && s.job != "method-news" {
		want = append(want[:len(want):len(want)], benchSaid...)
	}
	list := strings.Join(p.Card.Caveats, "\n")
	for _, words := range want {
		if !strings.Contains(list, words) {
			t.Errorf("the caveat %q is missing", words)
		}
	}
	if n := utf8.RuneCountInString(p.Text()); n > 4096 || len(p.Card.Facts) > 25 || len(p.Card.Actions) > 25 {
		t.Errorf("%d characters, %d facts, %d actions", n, len(p.Card.Facts), len(p.Card.Actions))
	}
	if len(p.Key) == 0 || len(p.Key) > 25 || (p.Channel == "") == (p.Member == "") {
		t.Errorf("key %q, channel %q, member %q", p.Key, p.Channel, p.Member)
	}
}

func compare(t *testing.T, path, got string) {
	t.Helper()
	want, err := os.ReadFile(path)
	if err != nil && !*update {
		t.Fatal(err)
	}
	if got == string(want) {
		return
	}
	if !*update {
		t.Fatalf("-want +got:\n%s", cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")))
	}
	if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Error("rewritten: read the difference, then run again")
}
