package sharedlog

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const bots = 3

var long = flag.Bool("long", false, "run for more weeks; takes minutes")

// weeks is on how many Mondays the bots run.
func weeks() int {
	if *long {
		return 20
	}
	return 3
}

var communities = []string{"north", "south", "west"}

// monday is the day of the first prompt; the reminder hour is nine.
var monday = time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC)

// hours are the times on each Monday at which the bots run their jobs. A job that a kill leaves
// unfinished is taken up after ten minutes. At the last two times no bot is killed, so that
// everything of the day is finished.
var hours = []time.Duration{
	8*time.Hour + 55*time.Minute, 9 * time.Hour, 9*time.Hour + 15*time.Minute, 9*time.Hour + 30*time.Minute,
	10*time.Hour + 45*time.Minute, 12 * time.Hour,
}

const quietHours = 2

func tested(day string, seconds float64) knowledge.BenchTest {
	return knowledge.BenchTest{
		Combination: combination(27), TestedOn: day, Tester: knowledge.Member{Ref: "osier"}, Liquid: "whole milk",
		LiquidC: 21, PullML: 0.1,
		WatchedS: 30, Outcome: knowledge.Flashback, Seconds: seconds, Timing: "video 30 fps",
	}
}

func combination(gauge int) trade.Combination {
	return trade.Combination{
		Product:    trade.Product{Name: "Orrick Mid"},
		Instrument: trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: 13, Wall: calc.Thin},
	}
}

// furnish founds the communities.
func furnish(t *testing.T, store *knowledge.Store) {
	t.Helper()
	ctx := t.Context()
	for _, ref := range communities {
		g := must(store.Found(ctx, knowledge.NewCommunity{Ref: ref, Name: "Circle " + ref, Zone: "UTC"}))(t)
		must(g.AddProduct(ctx, trade.Product{Name: "Orrick Mid", Class: calc.MediumHA}))(t)
		for _, gauge := range []int{27, 30} {
			must(g.AddInstrument(ctx, combination(gauge).Instrument))(t)
		}
		must(g.Admit(ctx, knowledge.Member{Ref: "osier"}))(t)
		furnishRepeats(t, g)
		must(g.AddStock(ctx, knowledge.StockItem{Member: knowledge.Member{Ref: "osier"},
			Combination: combination(30)}))(t)
		if err := errors.Join(g.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.ReminderChannel = "400000000000000001"; return nil }), g.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.ReminderWeekday, to.ReminderHour = time.Monday, 9; return nil })); err != nil {
			t.Fatal(err)
		}
	}
}

// furnishRepeats logs so many repeats of another gel that the group's own spread is learned.
// The seconds are made up.
func furnishRepeats(t *testing.T, g *knowledge.Group) {
	t.Helper()
	must(g.AddProduct(t.Context(), trade.Product{Name: "Tamsel Soft", Class: calc.FineHA}))(t)
	file := "tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n"
	for n := range calc.RepeatedCombinationsNeeded {
		length := 4 + 2*n // mm
		instrument := combination(27).Instrument
		instrument.LengthMM = float64(length)
		must(g.AddInstrument(t.Context(), instrument))(t)
		for range 2 + calc.RepeatsNeeded/calc.RepeatedCombinationsNeeded {
			seconds := 0.4 * float64(length) * math.Exp(0.3*rand.NormFloat64())
			file += fmt.Sprintf("2026-10-20,osier,Tamsel Soft,27G %d mm needle,supplied,whole "+
				"milk,21,0.1,30,flashback,%.2f,video 30 fps,\n", length, seconds)
		}
	}
	report := must(g.Import(t.Context(), knowledge.TestFile, knowledge.RowsOf(strings.NewReader(file)), knowledge.Importing{}))(t)
	if len(report.Faults) > 0 {
		t.Fatal(report.Faults)
	}
}

// bot is a child, by its number.
type bot struct {
	number  string
	cmd     *exec.Cmd
	stderr  *strings.Builder
	address string
	folder  folder
}

func (b *bot) start(t *testing.T) {
	t.Helper()
	b.cmd = exec.Command(os.Args[0])
	b.cmd.Env = append(os.Environ(), childVariable+"="+b.number, storeVariable+"="+b.address,
		folderVariable+"="+string(b.folder))
	b.stderr = &strings.Builder{}
	b.cmd.Stderr = b.stderr
	if err := b.cmd.Start(); err != nil {
		t.Fatal(err)
	}
}

// kill ends the bot as kill -9 does.
func (b *bot) kill() {
	if b.cmd != nil && b.cmd.ProcessState == nil {
		b.cmd.Process.Kill()
		b.cmd.Wait()
	}
}

// done waits until the running bot has done everything that is due at a time.
func (b *bot) done(t *testing.T, now time.Time) {
	t.Helper()
	want := fmt.Sprintf("%s %d %s", b.number, b.cmd.Process.Pid, now.Format(time.RFC3339))
	for end := time.Now().Add(time.Minute); ; time.Sleep(2 * time.Millisecond) {
		if slices.Contains(must(b.folder.lines("done"))(t), want) {
			return
		}
		if time.Now().After(end) {
			b.kill()
			t.Fatalf("bot %s does nothing at %s: %s", b.number, now, b.stderr)
		}
	}
}

// TestThreeBotsOnOneLogSayEverythingOnce: three bots run the jobs of communities on one log,
// each for the communities on its shards. At random moments one is killed and started again.
// Each prompt, reminder and backup is there once, each day's spread is learned once, and every
// confirmed test is there once.
func TestThreeBotsOnOneLogSayEverythingOnce(t *testing.T) {
	f, address := folder(t.TempDir()), newAddress(t)
	if err := errors.Join(os.Mkdir(f.path("backups"), 0o700), f.setTime(monday)); err != nil {
		t.Fatal(err)
	}
	now := monday
	store := must(knowledge.Open(t.Context(), address, knowledge.WithClock(func() time.Time { return now })))(t)
	defer store.Close()
	furnish(t, store)
	var all []*bot
	for n := range bots {
		b := &bot{number: strconv.Itoa(n), address: address, folder: f}
		b.start(t)
		t.Cleanup(b.kill)
		all = append(all, b)
	}
	kills := 0
	for week := range weeks() {
		now = monday.AddDate(0, 0, 7*week)
		for _, ref := range communities {
			g := must(store.Group(t.Context(), ref))(t)
			must(g.TakeOn(t.Context(), knowledge.Member{Ref: "osier"}, combination(30),
				now.AddDate(0, 0, 1).Format(time.DateOnly)))(t)
		}
		for i, hour := range hours {
			now = monday.AddDate(0, 0, 7*week).Add(hour)
			if err := f.setTime(now); err != nil {
				t.Fatal(err)
			}
			if i < len(hours)-quietHours {
				kills += killSome(t, all)
			}
			for _, b := range all {
				b.done(t, now)
			}
		}
	}
	for _, b := range all {
		b.kill()
		if b.stderr.Len() > 0 && !strings.Contains(b.stderr.String(), "held by another program") {
			t.Errorf("bot %s: %s", b.number, b.stderr)
		}
	}
	t.Logf("%d kills on %s", kills, store.Name())
	if kills < weeks() {
		t.Errorf("only %d kills: nothing is proved", kills)
	}
	saidOnce(t, f)
	servedByTheirOwn(t, f)
	backedUpOnce(t, f, store)
	learnedOnce(t, f, store)
	confirmedOnce(t, f, store)
}

// killSome kills a random bot a moment after it was given something to do, sometimes two, and
// starts it again.
func killSome(t *testing.T, all []*bot) (kills int) {
	t.Helper()
	for range 1 + rand.IntN(2) {
		time.Sleep(rand.N(4 * longestPost))
		b := all[rand.IntN(len(all))]
		b.kill()
		b.start(t)
		kills++
	}
	return kills
}

// saidOnce checks the platform's messages: each week one prompt a community and one
// reminder a member, and every attempt at one made by one bot.
func saidOnce(t *testing.T, f folder) {
	t.Helper()
	said := map[string]int{}
	for _, line := range must(f.lines("messages"))(t) {
		_, about, _ := strings.Cut(line, " ")
		said[about]++
	}
	for week := range weeks() {
		for _, ref := range communities {
			for _, to := range []string{"channel", "osier"} {
				about := ref + " " + to + " " + monday.AddDate(0, 0, 7*week).Format(time.DateOnly)
				if said[about] != 1 {
					t.Errorf("said %d times: %s", said[about], about)
				}
				delete(said, about)
			}
		}
	}
	if len(said) > 0 {
		t.Errorf("said unasked: %v", slices.Sorted(maps.Keys(said)))
	}
	attempts, again := map[string]int{}, 0
	for _, line := range must(f.lines("calls"))(t) {
		attempts[line]++
		if !strings.HasSuffix(line, " 1") {
			again++
		}
	}
	for attempt, n := range attempts {
		if n > 1 {
			t.Errorf("attempt %s was made by %d bots", attempt, n)
		}
	}
	t.Logf("%d attempts, %d of them after a kill", len(attempts), again)
}

// servedByTheirOwn checks that no bot has posted for a community whose shard it does not have,
// and that each bot has posted for some.
func servedByTheirOwn(t *testing.T, f folder) {
	t.Helper()
	busy := map[int]bool{}
	for _, line := range must(f.lines("reached"))(t) {
		var ref string
		var by int
		if _, err := fmt.Sscan(line, &ref, &by); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		if !serves(by, ref) {
			t.Errorf("bot %d has posted for %s, which it does not serve", by, ref)
		}
		busy[by] = true
	}
	if len(busy) < 2 {
		t.Errorf("only %v have posted: nothing is proved", slices.Collect(maps.Keys(busy)))
	}
}

// learnedOnce checks that one bot did a day's learning of a community. A bot that was killed
// between learning and writing it down has left no line.
func learnedOnce(t *testing.T, f folder, store *knowledge.Store) {
	t.Helper()
	days, versions := map[string]int{}, map[string]int{}
	for _, line := range must(f.lines("learned"))(t) {
		var ref, day string
		var version int
		if _, err := fmt.Sscan(line, &ref, &day, &version); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		days[ref+" "+day]++
		versions[ref] = max(versions[ref], version)
	}
	for day, n := range days {
		if n > 1 {
			t.Errorf("learned %d times: %s", n, day)
		}
	}
	for _, ref := range communities {
		report := must(must(store.Group(t.Context(), ref))(t).Spread(t.Context()))(t)
		if !report.InForce.Own || int(report.InForce.Version) > weeks() || versions[ref] == 0 {
			t.Errorf("%s: version %d of its spread, its own %t, %d written down; in %d weeks", ref,
				report.InForce.Version, report.InForce.Own, versions[ref], weeks())
		}
	}
	t.Logf("learned on %d days of %d communities", len(days), len(communities))
}

// backedUpOnce checks the nightly backups: one a night, each whole.
func backedUpOnce(t *testing.T, f folder, store *knowledge.Store) {
	t.Helper()
	made := must(filepath.Glob(f.path("backups/*.db")))(t)
	if len(made) != weeks() {
		t.Errorf("%d backups, want %d: %v", len(made), weeks(), made)
	}
	for _, path := range made {
		if found := must(knowledge.Inspect(t.Context(), path))(t); found.Communities != len(communities) {
			t.Errorf("%s: %+v", filepath.Base(path), found)
		}
	}
	if at := must(store.LastBackup(t.Context()))(t); !at.After(monday.AddDate(0, 0, 7*(weeks()-1))) {
		t.Errorf("the last was noted at %s", at)
	}
}

// confirmedOnce checks that every test that a bot confirmed is in the log once, and that the
// log's counts and answers agree with its tests.
func confirmedOnce(t *testing.T, f folder, store *knowledge.Store) {
	t.Helper()
	ctx := t.Context()
	confirmed := map[string][]string{}
	for _, line := range must(f.lines("confirmed"))(t) {
		ref, test, _ := strings.Cut(line, " ")
		confirmed[ref] = append(confirmed[ref], test)
	}
	for _, ref := range communities {
		g := must(store.Group(ctx, ref))(t)
		there := map[string]int{}
		tests := must(g.Tests(ctx, knowledge.TestFilter{ProductID: must(g.Product(ctx, "Orrick Mid"))(t).ID}))(t)
		for _, test := range tests {
			there[fmt.Sprintf("%s %d", test.RequestKey, test.ID)]++
		}
		for _, test := range confirmed[ref] {
			if there[test] != 1 {
				t.Errorf("%s: test %s is there %d times", ref, test, there[test])
			}
		}
		e := must(g.Evidence(ctx, combination(27), 0))(t)
		if len(confirmed[ref]) < bots*weeks() || e.Counts.Run != len(tests) {
			t.Errorf("%s: %d tests confirmed, %d there, %d counted", ref, len(confirmed[ref]), len(tests), e.Counts.Run)
		}
		if got, want := answer(ctx, t, g), elsewhere(ctx, t, store, ref); got != want {
			t.Errorf("%s answers %s, its tests alone %s", ref, got, want)
		}
	}
}

// answer is what a community's log says of a combination.
func answer(ctx context.Context, t *testing.T, g *knowledge.Group) string {
	t.Helper()
	e := must(g.Evidence(ctx, combination(27), 0))(t)
	return fmt.Sprintf("%s %+v", e.Verdict, e.Forecast.Share(e.Ceiling))
}

// elsewhere is the answer of another store, into which the community is copied without its
// estimates: the answer that follows from the tests alone.
func elsewhere(ctx context.Context, t *testing.T, from *knowledge.Store, ref string) string {
	t.Helper()
	other := must(knowledge.Open(ctx, filepath.Join(t.TempDir(), "other.db")))(t)
	defer other.Close()
	must(knowledge.Copy(ctx, from, other, ref))(t)
	g := must(other.Group(ctx, ref))(t)
	product := must(g.Product(ctx, "Orrick Mid"))(t)
	osier := must(g.Member(ctx, "osier"))(t)
	must(g.SetClass(ctx, product.ID, calc.FirmHA, osier, "looked at anew"))(t)
	must(g.SetClass(ctx, product.ID, calc.MediumHA, osier, "and back"))(t)
	return answer(ctx, t, g)
}
