package commands

import (
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// The words by which what one community has and the other has not is known.
const (
	markA = "Aldermere"
	markB = "Brackwater"
)

// twin is community A in two stores that differ in one thing: the second has
// community B as well.
type twin struct {
	alone, beside *Env
	path          string // of the second store
	pins          []string
}

// circle fills communities with random data.
type circle struct {
	t     testing.TB
	r     *rand.Rand
	g     *knowledge.Group
	mark  string
	gels  []string
	sizes []trade.Instrument
	spare string
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func pickOne[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

func found(t testing.TB, s *knowledge.Store, ref, mark string, r *rand.Rand) *circle {
	t.Helper()
	g := must(s.Found(t.Context(), knowledge.NewCommunity{Ref: ref, Name: mark + " Circle", Zone: "Europe/London",
		Ceiling: calc.Seconds(6 + r.IntN(8))}))(t)
	return &circle{t: t, r: r, g: g, mark: mark}
}

// lists gives a community gels, needles, syringes, people and settings: some by
// names that the other has, too, some by its own.
func (f *circle) lists() {
	ctx := f.t.Context()
	f.gels = []string{"Orrick Mid", f.mark + " Fine", f.mark + " Deep", f.mark + " Spare"}
	for i, name := range f.gels {
		must(f.g.AddProduct(ctx, trade.Product{
			Name: name, Class: pickOne(f.r, calc.GelClasses()...), Aliases: []string{strings.ToLower(f.mark[:2]) +
				fmt.Sprint(i)},
		}))(f.t)
	}
	f.sizes = []trade.Instrument{
		{Kind: trade.Needle, Gauge: 27, LengthMM: 13, Wall: calc.Thin}, {Kind: trade.Needle, Gauge: 30, LengthMM: 13,
			Wall: calc.Thin},
		{Kind: trade.Needle, Gauge: 25, LengthMM: float64(17 + len(f.mark)), Wall: calc.Regular}, // A 26 mm, B 27 mm
	}
	for _, i := range f.sizes {
		must(f.g.AddInstrument(ctx, i))(f.t)
	}
	f.spare = f.mark + " syringe"
	must(f.g.AddSyringe(ctx, trade.Syringe{Name: f.spare, VolumeML: 1 + float64(f.r.IntN(3))}))(f.t)
	must(f.g.Admit(ctx, knowledge.Member{Ref: askingTrainer.Ref, Name: "lantern", Role: knowledge.TrainerRole}))(f.t)
	must(f.g.Admit(ctx, knowledge.Member{Ref: askingMember.Ref, Name: "quayside"}))(f.t)
	must(f.g.Admit(ctx, knowledge.Member{Ref: f.mark + "-member", Name: f.mark + " Member"}))(f.t)
	f.done(errors.Join(f.g.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.ReminderChannel = f.mark + "-channel"; return nil }), f.g.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.TrainerRole = f.mark + "-role"; return nil }), f.g.UpdateSettings(ctx, func(to *knowledge.Settings) error {
		to.BoxItems, to.BoxDays = 1+f.r.IntN(5), 7+f.r.IntN(30)
		return nil
	})))
}

func (f *circle) done(err error) {
	f.t.Helper()
	if err != nil {
		f.t.Fatal(err)
	}
}

func (f *circle) combination() trade.Combination {
	c := trade.Combination{Product: trade.Product{Name: pickOne(f.r, f.gels...)}, Instrument: pickOne(f.r, f.sizes...)}
	if f.r.IntN(3) == 0 {
		c.Syringe.Name = f.spare
	}
	return c
}

func (f *circle) member() knowledge.Member {
	return knowledge.Member{Ref: pickOne(f.r, askingTrainer.Ref, askingMember.Ref, f.mark+"-member")}
}

func (f *circle) test(key string) knowledge.BenchTest {
	return knowledge.BenchTest{
		Combination: f.combination(), Tester: f.member(), TestedOn: "2026-11-" + fmt.Sprintf("%02d", 1+f.r.IntN(20)),
		Liquid: "whole milk", LiquidC: 21, PullML: 0.1, WatchedS: 30, Outcome: knowledge.Flashback,
		Seconds: float64(10+f.r.IntN(190)) / 10,
		Timing:  "stopwatch", Note: f.mark + " note", RequestKey: key,
	}
}

// bench gives a community so many tests, and all that comes of them.
func (f *circle) bench(part string, tests int) {
	ctx := f.t.Context()
	var last knowledge.BenchTest
	for n := range tests {
		last = must(f.g.LogTest(ctx, f.test(fmt.Sprint("key ", part, n))))(f.t)
	}
	trainer := knowledge.Member{Ref: askingTrainer.Ref}
	must(f.g.WithdrawTest(ctx, last.ID, f.member(), f.mark+" reason"))(f.t)
	must(f.g.CheckTest(ctx, 1, trainer))(f.t)
	// requests of other kinds come by the same keys
	key := func(n int) string { return fmt.Sprint("key ", part, tests-1-n) }
	for n := range 3 {
		must(f.g.AddStock(ctx, knowledge.StockItem{Member: f.member(), Combination: f.combination(),
			StockedOn: "2026-11-01"}))(f.t)
		must(f.g.PutAside(ctx, knowledge.BoxItem{Member: f.member(), Combination: f.combination(), PutOn: "2026-11-02",
			RequestKey: key(n)}))(f.t)
	}
	waits := must(f.g.Box(ctx, 0))(f.t)
	must(f.g.LogBatch(ctx, f.member(), key(0), []knowledge.BoxResult{{Number: waits[0].Number, Test: f.test("")}}))(f.t)
	var taken *knowledge.TakenError // by somebody else, which is no fault
	if _, err := f.g.TakeOn(ctx, f.member(), f.combination(), "2026-11-25"); err != nil && !errors.As(err, &taken) {
		f.t.Fatal(err)
	}
	f.done(f.g.SetChoices(ctx, f.member(), knowledge.Choices{MayMention: true, TellVerdicts: true}))
	f.done(f.g.NoteAsked(ctx, f.member(), f.combination(), "2026-11-20"))
	p := must(f.g.AddProduct(ctx, trade.Product{Name: f.mark + " Gone " + part, Class: calc.SoftHA}))(f.t)
	into := must(f.g.Product(ctx, f.mark+" Spare"))(f.t)
	must(f.g.MergeProducts(ctx, p.ID, into.ID, trainer, f.mark+" merged"))(f.t)
	for _, c := range must(f.g.Tested(ctx))(f.t) { // as after some use: the estimates are there
		must(f.g.Evidence(ctx, c.Combination, 0))(f.t)
	}
}

// twinFiles are the two stores of a seed, filled. A is there before B is and goes
// on after it, so that it has numbers on both sides of B's.
func twinFiles(t testing.TB, seed uint64) (alone, beside []byte) {
	t.Helper()
	fill := func(withB bool) []byte {
		path := filepath.Join(t.TempDir(), "bot.db")
		s := must(knowledge.Open(t.Context(), path, knowledge.WithClock(stopped), knowledge.WithPatience(time.Hour)))(t)
		a := found(t, s, "A", markA, rand.New(rand.NewPCG(seed, 1)))
		a.lists()
		a.bench("early", 3)
		if withB {
			b := found(t, s, "B", markB, rand.New(rand.NewPCG(seed, 2)))
			b.lists()
			b.bench("early", 12)
			b.bench("late", 8)
		}
		must(a.g.AddProduct(t.Context(), trade.Product{Name: markA + " Late", Class: calc.MediumHA}))(t)
		a.gels = append(a.gels, markA+" Late")
		a.bench("late", 4)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		return must(os.ReadFile(path))(t)
	}
	return fill(false), fill(true)
}

// openTwin opens copies of the two stores.
func openTwin(t testing.TB, folder string, alone, beside []byte) (w twin, end func()) {
	t.Helper()
	var ends []func() error
	open := func(name string, data []byte) *Env {
		w.path = filepath.Join(folder, name)
		if err := os.WriteFile(w.path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		s := must(knowledge.Open(t.Context(), w.path, knowledge.WithClock(stopped),
			knowledge.WithPatience(time.Hour)))(t)
		ends = append(ends, s.Close)
		for _, ref := range []string{"A", "B"} {
			if g, err := s.Group(t.Context(), ref); err == nil {
				w.pins = append(w.pins, pinsOf(t, g)...)
			}
		}
		return &Env{Group: must(s.Group(t.Context(), "A"))(t), Now: stopped, Log: slog.New(slog.DiscardHandler)}
	}
	w.alone, w.beside = open("alone.db", alone), open("beside.db", beside)
	return w, func() {
		for _, end := range ends {
			if err := end(); err != nil {
				t.Error(err)
			}
		}
	}
}

// pinsOf are pins of a community's combinations.
func pinsOf(t testing.TB, g *knowledge.Group) (pins []string) {
	t.Helper()
	v := must(g.Vocabulary(t.Context()))(t)
	for n, p := range v.Products {
		pins = append(pins, pin(trade.Combination{Product: p, Instrument: v.Instruments[n%len(v.Instruments)],
			Syringe: v.Syringes[n%len(v.Syringes)]}))
	}
	return pins
}

// twins are the stores of a few seeds, each filled when it is first asked for.
type twins struct {
	mu    sync.Mutex
	files map[uint64][2][]byte
}

func (all *twins) of(t testing.TB, seed uint64) (alone, beside []byte) {
	t.Helper()
	all.mu.Lock()
	defer all.mu.Unlock()
	if all.files == nil {
		all.files = map[uint64][2][]byte{}
	}
	if _, there := all.files[seed]; !there {
		alone, beside := twinFiles(t, seed)
		all.files[seed] = [2][]byte{alone, beside}
	}
	return all.files[seed][0], all.files[seed][1]
}
