package durability

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// The load of one busy server: tests in the log, of a few gels, and answers a second.
const (
	loadTests   = 100_000
	loadGels    = 10
	loadHands   = 40
	loadReads   = 200 // a second
	loadLogged  = 10  // a second, at the same time
	loadSeconds = 8   // more would be held to the measure of a community, 1 000 and 100 a second
	loadPause   = 12 * time.Second

	mostOfReads = 100 * time.Millisecond // 99 in 100 of them
)

// TestALargeCommunityIsRead measures the program in its own process, with the platform's
// stand-in in another, for a server with a large log: reads alone, and reads while tests are
// logged.
func TestALargeCommunityIsRead(t *testing.T) {
	if !*scale {
		t.Skip("takes minutes: make scale")
	}
	path := filepath.Join(t.TempDir(), "large.db")
	began, before := time.Now(), spent(t, os.Getpid())
	largeCommunity(t, path)
	t.Logf("%d tests of %d gels imported in %s, %s of processor time", loadTests, loadGels,
		time.Since(began).Round(time.Second/10), spent(t, os.Getpid())-before)
	srv := discordtest.New(t, discordtest.Options{NoPings: true, IdentifySpacing: discordtest.Off,
		GlobalLimit: discordtest.Off, RouteLimit: 1_000_000})
	guild := srv.AddGuild("Circle")
	hands := make([]*discordtest.User, loadHands)
	for i := range hands {
		hands[i] = srv.User(fmt.Sprint("hand ", i))
		guild.Join(hands[i])
	}
	moveTo(t, path, []*discordtest.Guild{guild})
	program := startProgram(t, srv, built(t), path)
	srv.Ready()
	waitFor(t, 30*time.Second, "commands", func() bool { return srv.Offered(hands[0], guild, "hold") })
	for _, logged := range []int{0, loadLogged} {
		time.Sleep(loadPause) // a community may ask as much again
		before := spent(t, program.Process.Pid)
		reads, logs := load(t, srv, guild, hands, logged)
		used := spent(t, program.Process.Pid) - before
		t.Logf("%d reads a second: p50 %s, p99 %s, longest %s; the program took %s of processor time in %d s",
			loadReads, part(reads, 0.5),
			part(reads, 0.99), part(reads, 1), used, loadSeconds)
		if logged > 0 {
			t.Logf("… while %d tests a second are logged, each confirmed after: p50 %s, p99 %s, longest %s", logged,
				part(logs, 0.5), part(logs, 0.99), part(logs, 1))
		}
		if most := part(reads, 0.99); logged == 0 && most > mostOfReads {
			t.Errorf("99 in 100 reads: %s, aim %s", most, mostOfReads)
		}
	}
	end(t, program)
	if n := count(t, raw(t, path), `SELECT id FROM tests`); n != loadTests+loadLogged*loadSeconds {
		t.Errorf("%d tests in the store", n)
	}
}

// load reads at an even pace, logs beside it, and returns how long each took until its first
// answer, the shortest first.
func load(t *testing.T, srv *discordtest.Server, guild *discordtest.Guild, hands []*discordtest.User,
	logged int) (reads, logs []time.Duration) {
	t.Helper()
	var all sync.WaitGroup
	var mu sync.Mutex
	missed, sent := 0, make([]*discordtest.Answer, 0, (loadReads+logged)*loadSeconds)
	send := func(into *[]time.Duration, name string, hand *discordtest.User, options ...discordtest.Option) {
		asked := srv.Command(hand, guild, name, options...)
		sent = append(sent, asked)
		all.Go(func() {
			took, err := asked.Acknowledged(10 * time.Second)
			mu.Lock()
			defer mu.Unlock()
			if *into = append(*into, took); err != nil {
				missed++
			}
		})
	}
	began := time.Now()
	for i := range loadReads * loadSeconds {
		time.Sleep(time.Until(began.Add(time.Duration(i) * time.Second / loadReads)))
		gel, needle := bigGel(i%loadGels), needles[i/loadGels%2]
		send(&reads, "hold", hands[i%loadHands], discordtest.Opt("text", gel+" "+needle))
		if logged > 0 && i%(loadReads/logged) == 0 {
			send(&logs, "log", hands[i/7%loadHands], discordtest.Opt("product", gel),
				discordtest.Opt("instrument", needle),
				discordtest.Opt("seconds", fmt.Sprintf("%.3f", 2+float64(i)/1000)))
		}
	}
	all.Wait()
	away := 0
	for _, asked := range sent {
		if text := asked.Message().Text(); !strings.Contains(text, "tests by") &&
			!strings.Contains(text, "Logged as test") {
			if away++; away == 1 {
				t.Logf("turned away with:\n%s", text)
			}
		}
	}
	if missed+away > 0 {
		t.Errorf("%d were not answered in time, %d were turned away", missed, away)
	}
	slices.Sort(reads)
	slices.Sort(logs)
	return reads, logs
}

// spent is the processor time of a process, in hundredths of a second. Other processes on the
// machine do not lengthen it.
func spent(t *testing.T, pid int) time.Duration {
	t.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if errors.Is(err, os.ErrNotExist) {
		t.Skip("this system does not tell a process's time in /proc")
	}
	fields := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+1:])) // from the third on
	var ticks time.Duration
	for _, field := range fields[11:13] { // of the program and of the system for it
		ticks += time.Duration(must(strconv.Atoi(field))(t))
	}
	return ticks * time.Second / 100
}

// part is the element at floor(p·(n−1)) of a sorted list, to a tenth of a millisecond.
func part(sorted []time.Duration, p float64) time.Duration {
	return sorted[int(p*float64(len(sorted)-1))].Round(time.Millisecond / 10)
}

// largeCommunity makes a store with one community and its tests, by eight hands.
func largeCommunity(t *testing.T, path string) {
	t.Helper()
	ctx := t.Context()
	store := must(knowledge.Open(ctx, path))(t)
	group := must(store.Found(ctx, knowledge.NewCommunity{Ref: ref(0), Name: "Circle"}))(t)
	for i := range loadGels {
		must(group.AddProduct(ctx, trade.Product{Name: bigGel(i), Class: calc.MediumHA}))(t)
	}
	for i := range 8 {
		must(group.Admit(ctx, knowledge.Member{Ref: fmt.Sprint("tester ", i)}))(t)
	}
	for _, gauge := range []int{27, 30} {
		must(group.AddInstrument(ctx, trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: 13,
			Wall: calc.Thin}))(t)
	}
	var tests bytes.Buffer
	tests.WriteString("tested_on,member,product,instrument,syringe,liquid,liquid_c,pull_ml,limit_s,outcome,seconds,timing,note\n")
	for i := range loadTests {
		fmt.Fprintf(&tests, "2026-01-%02d,tester %d,%s,%s,supplied,whole milk,20,0.1,60,flashback,%.2f,video 30 "+
			"fps,run %d of the day\n",
			1+i%20, i/7%8, bigGel(i%loadGels), needles[i/loadGels%2], 4*math.Exp(0.4*math.Sin(float64(i))), i)
	}
	if report := must(group.Import(ctx, knowledge.TestFile, knowledge.RowsOf(&tests), knowledge.Importing{}))(t); report.Added != loadTests {
		t.Fatalf("%+v", report)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}
