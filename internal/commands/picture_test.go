package commands

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"log/slog"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/chart"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

// What is plotted is what the answer stands on: every test with its outcome, the
// steps of the tests' own curve, the estimate the words give, a hold only where
// the answer has one.
func TestPictureIsPlottedFromTheFiguresOfTheAnswer(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	covered, err := env.Group.Coverage(ctx)
	if err != nil {
		t.Fatal(err)
	}
	tested, untested := 0, 0
	for i, c := range few(covered, 3) {
		if c.Tests == 0 && i%7 != 0 {
			continue // a few of the untested will do
		}
		e, err := env.Group.Evidence(ctx, c.Combination, calc.DefaultPull)
		if err != nil {
			t.Fatal(err)
		}
		share := shareByTime(e)
		checkPlotted(t, e, share)
		p, err := share.Draw()
		if err != nil {
			t.Fatalf("%s: %v", c.Combination, err)
		}
		if strings.HasPrefix(p.Alt, "Untested") == e.Tested ||
			strings.Contains(p.Alt, ". HOLD ") != (holdSeconds(e) != nil) {
			t.Errorf("%s, tested %t: %s", c.Combination, e.Tested, p.Alt)
		}
		if e.Tested {
			tested++
		} else {
			untested++
		}
	}
	if !testing.Short() && (tested < 20 || untested < 3) || tested == 0 {
		t.Errorf("%d tested, %d untested", tested, untested)
	}
}

func checkPlotted(t *testing.T, e *knowledge.Evidence, share chart.ShareByTime) {
	t.Helper()
	dots, arrows := 0, 0
	tests := slices.Collect(e.Tests.All())
	for i, mark := range share.Tests {
		test := tests[i]
		if mark.None {
			arrows++
		} else {
			dots++
		}
		if mark.None != (test.None) || mark.None && mark.Seconds != test.WatchedS || !mark.None &&
			mark.Seconds != test.Seconds || mark.PullML != test.PullML {
			t.Errorf("%s: test %d is drawn as %+v", e.Combination, test.ID, mark)
		}
	}
	if arrows != e.Counts.None || dots != e.Counts.ShownByCeiling+e.Counts.ShownLater {
		t.Errorf("%s: %d dots, %d arrows of %+v", e.Combination, dots, arrows, e.Counts)
	}
	byCeiling := 0.0
	for _, s := range share.Steps {
		if s.Seconds <= float64(e.Ceiling) {
			byCeiling = s.Share
		}
	}
	if e.Tested && math.Abs(byCeiling-e.Counts.ByCeiling.Value) > 1e-9 {
		t.Errorf("%s: the steps reach %.3f by the ceiling, the tests %.3f", e.Combination, byCeiling,
			e.Counts.ByCeiling.Value)
	}
	at, ok := share.At(float64(e.Ceiling))
	want := e.Forecast.Share(e.Ceiling)
	// Between two points of the curve, 10 % apart in time, it is drawn straight.
	if !ok || math.Abs(at.Mean-want.Mean) > 0.005 || math.Abs(at.Low-want.Low) > 0.005 ||
		math.Abs(at.High-want.High) > 0.005 {
		t.Errorf("%s: %+v is drawn by the ceiling, the estimate is %+v", e.Combination, at, want)
	}
}

func TestEveryPictureIsAPNGWithWordsAndAName(t *testing.T) {
	env := demoEnv(t)
	for line, name := range map[string]string{
		"/explain picture orrick mid 27G 13 mm":                                "picture.png",
		"/explain picture orrick mid 27G 13 mm background:dark":                "picture-dark.png",
		"/explain picture dunmere deep 30G 8 mm":                               "picture.png",
		"/group coverage":                                                      "coverage.png",
		"/group testers background:dark":                                       "testers-dark.png",
		"/explain picture hesk paste 27G 13 mm pull:0.3":                       "picture.png",
		`/explain picture product:"Orrick Mid" instrument:"31g 8mm"`:           "picture.png",
		"/explain picture larnoch hydra 22G 50 mm cannula":                     "picture.png",
		"/explain picture tamsel soft 31G 8 mm on a 0.3 insulin":               "picture.png",
		"/mine background:dark":                                                "mine-dark.png",
		"/group coverage background:light":                                     "coverage.png",
		"/explain picture how long with pellow lip on 30g 1/2 in pull 0.05 mL": "picture.png",
	} {
		card := says(t, env, askingMember, line)
		if card.Picture == nil {
			t.Errorf("%s: no picture\n%s", line, card.Text())
			continue
		}
		size, err := png.DecodeConfig(bytes.NewReader(card.Picture.PNG))
		if err != nil || size.Width != 1080 || card.Picture.Name != name || card.Picture.Alt == "" {
			t.Errorf("%s: %q of %d px, %v; alternative text %q", line, card.Picture.Name, size.Width, err,
				card.Picture.Alt)
		}
		wants(t, card.InFull().Text(), "\n  picture: "+name+"\n", say.CaveatNegative)
	}
}

// Nobody's name stands in a member's comparison, in no form; in the trainer's
// every tester's does, unless it is to be shown to others.
func TestNamesOfTestersAreForTheTrainer(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	standings, err := env.Group.Testers(ctx)
	if err != nil {
		t.Fatal(err)
	}
	said := func(asker Asker, line string) (string, Card) {
		card := says(t, env, asker, line)
		if card.Picture == nil {
			t.Fatalf("%s\n%s", line, card.Text())
		}
		return card.Text() + card.Picture.Alt, card
	}
	trainers, _ := said(askingTrainer, "/group testers")
	members, _ := said(askingMember, "/group testers")
	nobodys, forClass := said(askingTrainer, "/group testers names:no")
	_, forMember := said(askingMember, "/group testers names:no")
	named := 0
	for _, s := range standings {
		if s.Tests == 0 {
			continue
		}
		named++
		if !strings.Contains(trainers, s.Member.Name) {
			t.Errorf("the trainer is not told of %s", s.Member.Name)
		}
		if strings.Contains(members, s.Member.Name) || strings.Contains(nobodys, s.Member.Name) {
			t.Errorf("%s is named to those who are not to know", s.Member.Name)
		}
	}
	if own := strings.Count(members, "\n  you: "); own != 1 || named < 5 || strings.Contains(nobodys, "you: ") {
		t.Errorf("%d of %d lines are one's own; without names:\n%s", own, named, nobodys)
	}
	if !bytes.Equal(forClass.Picture.PNG, forMember.Picture.PNG) {
		t.Error("without names the trainer's picture is another than a member's")
	}
}

// The coverage of a large group: every gel stands on just one page, and the words
// of each page say where the rest is.
func TestCoverageOfALargeGroupTakesPages(t *testing.T) {
	if testing.Short() {
		t.Skip("draws twenty pages one after the other, which takes a minute under the race detector")
	}
	env, products := largeEnv(t, 200), 200
	seen := map[string]int{}
	for page, more := 1, true; more; page++ {
		card := says(t, env, askingMember, fmt.Sprintf("/group coverage page:%d", page))
		if card.Picture == nil {
			t.Fatalf("page %d\n%s", page, card.Text())
		}
		wants(t, card.Text(), fmt.Sprintf("Page %d of ", page), "50 of 200 combinations tested, 50 tests in all; 150 "+
			"in stock and untested.")
		more = strings.Contains(card.Text(), "→ next page: /group coverage page:")
		if lines := len(glance(card)); lines > phoneLines+1 { // the picture's name is a terminal's
			t.Errorf("page %d: %d lines", page, lines)
		}
		for _, f := range card.Facts {
			if strings.HasPrefix(f.Label, "Gel ") {
				seen[f.Label]++
				if !strings.Contains(card.Picture.Alt, f.Label+" ") && page == 1 && len(seen) == 1 {
					t.Errorf("%s is not on the sheet: %s", f.Label, card.Picture.Alt)
				}
			}
		}
	}
	if len(seen) != products {
		t.Errorf("%d gels on all pages", len(seen))
	}
	for name, times := range seen {
		if times != 1 {
			t.Errorf("%s stands on %d pages", name, times)
		}
	}
	if card := says(t, env, askingMember, "/group coverage page:99"); !card.Refused || card.Picture != nil {
		t.Errorf("page 99\n%s", card.Text())
	}
}

// largeEnv is a group with so many gels: a quarter of them tested once, all in
// stock on one needle, and one more that is neither.
func largeEnv(t *testing.T, products int) *Env {
	t.Helper()
	ctx := context.Background()
	store, err := knowledge.Open(ctx, filepath.Join(t.TempDir(), "large.db"), knowledge.WithClock(stopped))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: "large", Name: "Large", Zone: "UTC"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := group.Admit(ctx, knowledge.Member{Ref: "quayside", Role: knowledge.MemberRole}); err != nil {
		t.Fatal(err)
	}
	var list, stock, tests bytes.Buffer
	list.WriteString("name,gel_class,aliases,first_stocked\n")
	stock.WriteString("member,product,instrument,syringe,stocked_on\n")
	tests.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n")
	for i := range products + 1 {
		fmt.Fprintf(&list, "Gel %d,soft HA,,2025-01-01\n", i)
		if i < products {
			fmt.Fprintf(&stock, "quayside,Gel %d,30G 13 mm needle,supplied,2026-01-01\n", i)
		}
		if i < products/4 {
			fmt.Fprintf(&tests, "2026-05-01,quayside,Gel %d,30G 13 mm needle,supplied,whole "+
				"milk,20,0.1,30,flashback,%d.5,stopwatch,\n", i, 2+i%5)
		}
	}
	instruments := bytes.NewBufferString("name,kind,gauge,length_mm,wall,bore_mm\n30G 13 mm needle,needle,30,13,thin,\n")
	fill(t, group, knowledge.ProductFile, &list)
	fill(t, group, knowledge.InstrumentFile, instruments)
	fill(t, group, knowledge.StockFile, &stock)
	fill(t, group, knowledge.TestFile, &tests)
	return &Env{Group: group, Now: stopped, Log: slog.New(slog.DiscardHandler)}
}
