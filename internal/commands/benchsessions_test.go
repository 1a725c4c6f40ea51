package commands

import (
	"context"
	"fmt"
	"log/slog"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// benchGroup is a drawn group at the bench: what the gels do is known here alone.
type benchGroup struct {
	*rand.Rand
	t       *testing.T
	env     *Env
	now     time.Time // the platform's clock and the group's
	members []Asker
	gels    []drawnGel
	tested  int // tests that have to be in the log
}

// drawnGel is a gel on one needle: the median of its times, and how much they vary.
type drawnGel struct {
	name   string
	median float64 // s
}

const drawnSpread = 0.12 // of the logarithm: what a careful hand has

func drawBenchGroup(t *testing.T, seed uint64) *benchGroup {
	t.Helper()
	ctx := context.Background()
	g := &benchGroup{Rand: rand.New(rand.NewPCG(seed, 11)), t: t, now: stopped()}
	store, err := knowledge.Open(ctx, filepath.Join(t.TempDir(), "bot.db"), knowledge.WithClock(g.clock),
		knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: "bench", Name: "Bench", Zone: "UTC", Ceiling: 10})
	if err != nil {
		t.Fatal(err)
	}
	g.env = &Env{Group: group, Now: g.clock, Log: slog.New(slog.DiscardHandler)}
	g.gels = []drawnGel{{"Orrick Mid", 1.5 + 2*g.Float64()}, {"Hesk Paste", 80 + 60*g.Float64()}}
	for i, class := range []calc.GelClass{calc.MediumHA, calc.FirmHA} {
		if _, err := group.AddProduct(ctx, trade.Product{Name: g.gels[i].name, Class: class}); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"quayside", "lantern", "tidewell"} {
		g.members = append(g.members, Belonging(name, name, false))
	}
	return g
}

func (g *benchGroup) clock() time.Time { return g.now }

// answer is what a member gets in the chat.
func (g *benchGroup) answer(by Asker, req Request) Card {
	g.t.Helper()
	req.Asker, req.At, req.Place, req.Key = by, g.now, "chat", fmt.Sprint("interaction ", g.now.UnixMicro())
	card := Answer(context.Background(), g.env, req)
	if card.Failed || card.Refused {
		g.t.Fatalf("%s: %s", req.Line(), card.Text())
	}
	return card
}

// session is one member's evening: each gel put aside, then pressed through to the
// summary, with what happens at a bench: presses that bounce, a blocked needle, a test
// that is taken back, a syringe left for later.
func (g *benchGroup) session(by Asker) {
	g.t.Helper()
	for _, gel := range g.gels {
		g.now = g.now.Add(time.Minute)
		g.answer(by, Request{Command: asideName, Text: gel.name + " 27G 13 mm"})
	}
	card := g.answer(by, Request{Command: watchName})
	for step := 0; !has(card, "what waits") && len(card.Actions) > 0; step++ {
		if step > 100 {
			g.t.Fatalf("the session does not end:\n%s", card.Text())
		}
		g.now = g.now.Add(time.Duration(5+g.IntN(40)) * time.Second)
		if big := bigOnes(card); len(big) != 1 {
			g.t.Fatalf("%d big buttons:\n%s", len(big), card.Text())
		}
		switch n := g.IntN(20); {
		case n == 0:
			card = g.press(by, card, "skip")
		case n == 1:
			card = g.press(by, card, "blocked needle")
		case n == 2 && has(card, "take it back"):
			card = g.press(by, card, "take it back")
			g.tested--
		default:
			card = g.timed(by, card)
		}
	}
}

// timed makes one test and checks what was stored of it.
func (g *benchGroup) timed(by Asker, card Card) Card {
	g.t.Helper()
	gel := g.gels[slices.IndexFunc(g.gels, func(d drawnGel) bool { return card.Title[5:5+len(d.name)] == d.name })]
	shows := gel.median * math.Exp(drawnSpread*g.NormFloat64())
	back := g.now
	running := g.press(by, card, "plunger back")
	if g.IntN(3) == 0 { // the finger bounces
		g.now = g.now.Add(150 * time.Millisecond)
		g.press(by, card, "plunger back")
	}
	last := "blood shows"
	if shows > 30 {
		last, shows = "none, stop", 30.5
	}
	g.now = back.Add(time.Duration(shows * float64(time.Second)))
	next := g.press(by, running, last)
	if g.IntN(3) == 0 {
		g.now = g.now.Add(200 * time.Millisecond)
		next = g.press(by, running, last)
	}
	g.tested++
	tests, err := g.env.Group.Tests(context.Background(), knowledge.TestFilter{State: knowledge.Kept})
	if err != nil || len(tests) != g.tested {
		g.t.Fatalf("%d tests, want %d, %v", len(tests), g.tested, err)
	}
	got := slices.MaxFunc(tests, func(a, b knowledge.BenchTest) int { return int(a.ID - b.ID) })
	if off := math.Abs(got.Seconds - shows); got.Outcome == knowledge.Flashback && off > 0.051 { // a tenth, rounded
		g.t.Fatalf("%+v, want %.3f s", got, shows)
	}
	if got.Outcome == knowledge.None && (got.WatchedS != 30 || last != "none, stop") {
		g.t.Fatalf("%+v", got)
	}
	return next
}

func (g *benchGroup) press(by Asker, card Card, label string) Card {
	g.t.Helper()
	for _, a := range card.Actions {
		if a.Label == label {
			return g.answer(by, a.Request)
		}
	}
	g.t.Fatalf("no %q on\n%s", label, card.Text())
	return Card{}
}

func has(card Card, label string) bool {
	return slices.ContainsFunc(card.Actions, func(a Action) bool { return a.Label == label })
}

func bigOnes(card Card) (big []Action) {
	for _, a := range card.Actions {
		if a.Big {
			big = append(big, a)
		}
	}
	return big
}

// Five evenings lead a drawn group from an empty box to verdicts that are settled: of the
// gel that is quick a hold, of the paste that takes longer than anybody watches that none
// is to be expected.
func TestFiveSessionsSettleTheVerdictsOfADrawnGroup(t *testing.T) {
	for _, seed := range few([]uint64{0, 1, 2}, 3) {
		t.Run(fmt.Sprint("group ", seed), func(t *testing.T) {
			t.Parallel()
			g := drawBenchGroup(t, seed)
			for evening := range 5 {
				g.now = stopped().AddDate(0, 0, 7*evening)
				for _, by := range g.members {
					g.session(by)
				}
			}
			for i, want := range [][]calc.State{{calc.StateHold}, {calc.StateTooSlow, calc.StateNotExpected}} {
				e := evidenceOf(t, g.env, g.gels[i].name, "27G 13 mm needle")
				t.Logf("%s, median %.1f s: %s after %d tests by %d", g.gels[i].name, g.gels[i].median, e.State,
					e.Counts.Run, e.Counts.Testers)
				if !slices.Contains(want, e.State) {
					t.Errorf("%s, median %.1f s: %s by %d tests", g.gels[i].name, g.gels[i].median, e.State,
						e.Counts.Run)
				}
			}
		})
	}
}
