package commands

import (
	"context"
	"fmt"
	"log/slog"
	"math"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// drawnGroup is a community with a drawn log and a drawn rule: set-ups tested often,
// seldom and never, by one hand or several, at several pulls, with nones and with
// times that fit nothing.
func drawnGroup(t *testing.T, r *rand.Rand) *Env {
	t.Helper()
	ctx := t.Context()
	store, err := knowledge.Open(ctx, filepath.Join(t.TempDir(), "bench.db"), knowledge.WithClock(stopped),
		knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	g, err := store.Found(ctx, knowledge.NewCommunity{Ref: "drawn", Name: "Drawn",
		Ceiling: calc.Seconds([]float64{10, 10, 4, 30, 0.5}[r.IntN(5)])})
	if err != nil {
		t.Fatal(err)
	}
	done := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	done(g.UpdateSettings(ctx, func(s *knowledge.Settings) error {
		s.Target, s.LeastTests, s.LeastMembers = []float64{0.9, 0.8, 0.99}[r.IntN(3)], 2+r.IntN(3), 1+r.IntN(3)
		return nil
	}))
	for _, ref := range []string{"osier", "lantern", "quayside"} {
		_, err := g.Admit(ctx, knowledge.Member{Ref: ref})
		done(err)
	}
	rows := []string{"tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note"}
	instruments := []trade.Instrument{
		{Kind: trade.Needle, Gauge: 27, LengthMM: 13, Wall: calc.Thin}, {Kind: trade.Needle, Gauge: 30, LengthMM: 13,
			Wall: calc.Thin},
		{Kind: trade.Needle, Gauge: 29, LengthMM: 9}, // its wall class is not on record
	}
	for i, instrument := range instruments {
		_, err := g.AddInstrument(ctx, instrument)
		done(err)
		for _, p := range []trade.Product{{Name: "Alder One", Class: calc.SoftHA},
			{Name: "Birch Two", Class: calc.FirmHA}} {
			if i == 0 {
				_, err := g.AddProduct(ctx, p)
				done(err)
			}
			_, err := g.AddStock(ctx, knowledge.StockItem{Member: knowledge.Member{Ref: "osier"},
				Combination: trade.Combination{Product: p, Instrument: instrument}})
			done(err)
			rows = append(rows, drawnTests(r, p, instrument)...)
		}
	}
	report, err := g.Import(ctx, knowledge.TestFile, knowledge.RowsOf(strings.NewReader(strings.Join(rows, "\n")+"\n")), knowledge.Importing{})
	done(err)
	if report.Refused() {
		t.Fatalf("refused: %+v", report)
	}
	return &Env{Group: g, Now: stopped, Log: slog.New(slog.DiscardHandler)}
}

// drawnTests are lines of a log of one combination.
func drawnTests(r *rand.Rand, p trade.Product, i trade.Instrument) (rows []string) {
	middle, hands := math.Exp(r.Float64()*5-2), 1+r.IntN(3) // 0.1 to 20 s
	all, odd := r.IntN(6) == 0, 0.3*r.Float64()*float64(r.IntN(2))
	for range []int{0, 1, 2, 3, 4, 6, 9, 12}[r.IntN(8)] {
		outcome, seconds := "flashback", fmt.Sprintf("%.2f", middle*math.Exp(r.NormFloat64()/4))
		if all || r.Float64() < odd {
			outcome, seconds = "none", ""
		} else if r.IntN(25) == 0 {
			seconds = "55"
		}
		rows = append(rows, fmt.Sprintf("2026-10-01,%s,%s,%s,supplied,whole milk,21,%s,60,%s,%s,video 30 fps,",
			[]string{"osier", "lantern", "quayside"}[r.IntN(hands)], p.Name, i.Name(),
			[]string{"0.1", "0.1", "0.1", "0.05", "0.2"}[r.IntN(5)], outcome, seconds))
	}
	return rows
}

var anyHold = regexp.MustCompile(`(?i)hold (\d+) s`)

// Whatever the log and the rule: no surface shows a hold that another withholds, and
// no hold is shorter than the group's own tests carry.
func TestNoSurfaceShowsAHoldThatAnotherWithholds(t *testing.T) {
	t.Parallel()
	seen := map[calc.State]int{}
	seeds := few([]uint64{0, 7, 13, 14, 15}, 3) // that have every state among them
	if *long {
		seeds = seeds[:0]
		for seed := range uint64(64) {
			seeds = append(seeds, seed)
		}
	}
	for _, seed := range seeds {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			env := drawnGroup(t, rand.New(rand.NewPCG(seed, 17)))
			covered, err := env.Group.Coverage(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			open := says(t, env, askingMember, "/totest list").Text()
			sheet := says(t, env, Asker{Ref: "osier", Role: knowledge.MemberRole}, "/mine") // osier holds all there is
			changed := latestStates(t, env)
			for _, c := range covered {
				e, err := env.Group.Evidence(t.Context(), c.Combination, calc.DefaultPull)
				if err != nil {
					t.Fatal(err)
				}
				seen[e.State]++
				checkTestsCarry(t, e)
				checkCards(t, env, e)
				checkSheet(t, sheet, e)
				if c.Tests > 0 && c.State != e.State {
					t.Errorf("%s: the coverage says %s, the answer %s", c.Combination, c.State, e.State)
				}
				if c.Tests > 0 && changed[pin(e.Combination)] != e.State {
					t.Errorf("%s: the latest change says %s, the answer %s", c.Combination, changed[pin(e.Combination)],
						e.State)
				}
				if e.State == calc.StateHold && strings.Contains(open, stockWords(e.Combination)+":") {
					t.Errorf("%s has a hold, and is worth a test:\n%s", c.Combination, open)
				}
			}
		})
	}
	for _, state := range []calc.State{calc.StateHold, calc.StateUntested, calc.StateTooFewTests,
		calc.StateTooFewMembers, calc.StateUnlikeTheOthers, calc.StatePullNotTested,
		calc.StateNotExpected, calc.StateNotSettled, calc.StateNotSureEnough} {
		if seen[state] == 0 && !testing.Short() {
			t.Errorf("no drawn log has one that is %s: %v", state, seen)
		}
	}
}

// latestStates is what the recorded changes come to, which prompt and news tell.
func latestStates(t *testing.T, env *Env) map[string]calc.State {
	t.Helper()
	changes, err := env.Group.VerdictChanges(t.Context(), time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	latest := map[string]calc.State{}
	for _, c := range changes {
		latest[pin(c.Combination)] = c.After
	}
	return latest
}

// checkTestsCarry counts the tests by hand: by the hold at least the target share of
// those at the pull or a smaller one had shown, and they are enough, by enough members.
func checkTestsCarry(t *testing.T, e *knowledge.Evidence) {
	t.Helper()
	hold := holdSeconds(e)
	if hold == nil {
		return
	}
	counting, shown, members := 0, 0, map[int64]bool{}
	for test := range e.Tests.All() {
		if test.PullML > 1.1*e.Pull.Millilitres()+1e-9 {
			continue
		}
		counting++
		members[test.Trial.Hand] = true
		if !test.None && test.Seconds <= float64(*hold)+1./30 { // a frame's width at 0
			shown++
		}
	}
	if *hold < 1 || calc.Seconds(*hold) > e.Ceiling || float64(shown) < e.Target*float64(counting)-1e-9 || shown == 0 ||
		counting < e.Rule.LeastTests || len(members) < e.Rule.LeastMembers {
		t.Errorf("%s: hold %d s, ceiling %g, %d of %d had shown, by %d members, rule %+v", e.Combination, *hold,
			float64(e.Ceiling), shown, counting, len(members), e.Rule)
	}
}

// checkCards holds every card, the figures for programs and the picture's text
// against what the evidence says.
func checkCards(t *testing.T, env *Env, e *knowledge.Evidence) {
	t.Helper()
	hold := holdSeconds(e)
	card := holdCard(e, newOutlook(e, 0), viewer{ref: "osier", today: "2026-11-24"})
	f := card.Figures.(answered)
	if (f.HoldS == nil) != (hold == nil) || (f.NoHold == nil) != (hold != nil) || hold != nil && *f.HoldS != *hold {
		t.Errorf("%s is %s: hold_s %v, no_hold %v", e.Combination, e.State, f.HoldS, f.NoHold)
	}
	compared := says(t, env, askingMember, "/group compare "+e.Combination.Product.Name)
	row := ""
	for _, fact := range compared.Facts {
		if fact.Label == withoutProduct(e.Combination) {
			row = fact.Text
		}
	}
	picture := says(t, env, askingMember, "/explain picture "+stockWords(e.Combination))
	if picture.Picture == nil {
		t.Fatalf("%s: %s", e.Combination, picture.Text())
	}
	page, err := latestFirst(t.Context(), env, e.Tests.Latest(0, mostListed))
	if err != nil {
		t.Fatal(err)
	}
	for surface, text := range map[string]string{
		"card": card.Text(), "picture": picture.Picture.Alt, "comparison": row, "picture's card": picture.Text(),
		"tests": testsCard(e, page).Text(),
	} {
		said := anyHold.FindStringSubmatch(text)
		if surface == "tests" && said != nil || surface != "tests" && (said != nil) != (hold != nil) || said != nil &&
			said[1] != fmt.Sprint(*hold) {
			t.Errorf("%s is %s with hold %v; its %s says\n%s", e.Combination, e.State, f.HoldS, surface, text)
		}
	}
	if strings.Contains(card.Text()+picture.Text(), "NaN") {
		t.Errorf("%s: %s", e.Combination, card.Text())
	}
}

// checkSheet holds a member's sheet, its words and its picture's, against the evidence.
func checkSheet(t *testing.T, sheet Card, e *knowledge.Evidence) {
	t.Helper()
	name := usedInstrument{e.Combination.Instrument, e.Combination.Syringe}.name()
	inWords, drawn := e.Combination.Product.Name+" "+name, e.Combination.Product.Name+", "+name+": HOLD "
	said := ""
	for _, f := range sheet.Facts {
		if strings.HasPrefix(f.Label, "HOLD ") && f.Text == inWords {
			said = f.Label
		}
	}
	hold, want := holdSeconds(e), ""
	if hold != nil {
		want = fmt.Sprintf("HOLD %d s", *hold)
	}
	if said != want || strings.Contains(sheet.Picture.Alt, drawn) != (hold != nil) ||
		!strings.Contains(sheet.Picture.Alt, strings.TrimPrefix(want, "HOLD ")) {
		t.Errorf("%s, hold %q: the sheet says %q\n%s\n%s", inWords, want, said, sheet.Text(), sheet.Picture.Alt)
	}
}

// Six members, six nones: no hold anywhere.
func TestNonesOfSixMembersGiveNoHold(t *testing.T) {
	env := demoEnv(t)
	for _, ref := range []string{"osier", "lantern", "quayside", "millbrook", "tidewell", "fernhill"} {
		asker := Asker{Ref: ref, Name: ref, Role: knowledge.MemberRole}
		if card := says(t, env, asker, `/log product:"Tamsel Fine" instrument:"29G 13 mm needle" seconds:none watched:60`); card.Refused {
			t.Fatal(card.Text())
		}
	}
	e, err := env.Group.Evidence(context.Background(), combinationAsked(t, env, "tamsel fine 29G 13 mm"),
		calc.DefaultPull)
	if err != nil {
		t.Fatal(err)
	}
	if e.Counts.None != 6 || e.State == calc.StateHold || e.State == calc.StateTooFewMembers {
		t.Errorf("%d nones, %s", e.Counts.None, e.State)
	}
	checkCards(t, env, e)
}

func combinationAsked(t *testing.T, env *Env, question string) trade.Combination {
	t.Helper()
	call, err := holdCommand.call(t.Context(), env, catalogue,
		Request{Command: holdName, Text: question, Asker: askingMember})
	if err != nil {
		t.Fatal(err)
	}
	a, err := readQuestion(env, call)
	if err != nil {
		t.Fatal(err)
	}
	return a.combination
}
