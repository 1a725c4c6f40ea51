package chart

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"holdbench/internal/calc"
)

// keep is where the pictures of the scenes are left, to be looked at:
//
//	go test ./internal/chart -run TestEveryScene -keep /some/folder
var keep = flag.String("keep", "", "folder to leave the pictures of all scenes in")

// bench is a needle with its tests, from which a scene is estimated as an
// answer would be.
type bench struct {
	product, setup string
	class          calc.GelClass
	bore, length   float64 // mm
	tests          []TestMark
	testers        int
	elsewhere      []TestMark // tests of the same product through a 25G 16 mm needle
}

// shares is the scene's picture, worked out by calc.
func (b bench) shares(tb testing.TB) ShareByTime {
	tb.Helper()
	setup := calc.Setup{Tube: calc.Tube{Bore: calc.Length(b.bore) * calc.Millimetre,
		Length: calc.Length(b.length+5) * calc.Millimetre}, Gas: calc.SuppliedGas}
	other := calc.Setup{Tube: calc.Tube{Bore: 0.292 * calc.Millimetre, Length: 21 * calc.Millimetre},
		Gas: calc.SuppliedGas}
	var tested []calc.TestedSetup
	for s, tests := range map[calc.Setup][]TestMark{setup: b.tests, other: b.elsewhere} {
		if len(tests) > 0 {
			tested = append(tested, calc.TestedSetup{Setup: s, Trials: trials(tb, tests)})
		}
	}
	e, err := calc.Fit(b.class, tested, calc.DefaultSpread())
	if err != nil {
		tb.Fatal(err)
	}
	f, err := e.Forecast(setup, calc.DefaultPull)
	if err != nil {
		tb.Fatal(err)
	}
	c := ShareByTime{
		Product: b.product, Setup: b.setup, Ceiling: 10, Target: 0.9, PullML: 0.1,
		State: calc.StateNotSettled, Testers: b.testers, Tests: b.tests, Steps: steps(tb, b.tests),
	}
	if by := f.Time(0.9); by <= 120 {
		c.Hold = int(math.Ceil(float64(by)))
	}
	for _, t := range ShareTimes() {
		s := f.Share(calc.Seconds(t))
		c.Estimate = append(c.Estimate, Estimated{t, s.Mean, s.Low, s.High})
	}
	return c
}

func trials(tb testing.TB, tests []TestMark) []calc.Trial {
	tb.Helper()
	var all []calc.Trial
	for _, t := range tests {
		make := func() (calc.Trial, error) {
			pull := calc.Volume(t.PullML) * calc.Millilitre
			if t.None {
				return calc.NoneTrial(pull, calc.Seconds(t.Seconds))
			}
			return calc.TimedTrial(pull, calc.Seconds(t.Seconds), calc.FilmError(30))
		}
		trial, err := make()
		if err != nil {
			tb.Fatal(err)
		}
		all = append(all, trial)
	}
	return all
}

func steps(tb testing.TB, tests []TestMark) []Step {
	tb.Helper()
	if len(tests) == 0 {
		return nil
	}
	var watches []calc.Watch
	for _, t := range tests {
		watches = append(watches, calc.Watch{For: calc.Seconds(t.Seconds), Shown: !t.None})
	}
	curve, err := calc.KaplanMeier(watches)
	if err != nil {
		tb.Fatal(err)
	}
	var all []Step
	for _, s := range curve.Steps {
		all = append(all, Step{float64(s.Time), 1 - s.NotShown})
	}
	return all
}

// shown and none are tests at the usual pull.
func shown(seconds ...float64) []TestMark {
	var all []TestMark
	for _, s := range seconds {
		all = append(all, TestMark{Seconds: s, PullML: 0.1})
	}
	return all
}

func none(watched ...float64) []TestMark {
	all := shown(watched...)
	for i := range all {
		all[i].None = true
	}
	return all
}

func join(parts ...[]TestMark) []TestMark {
	var all []TestMark
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

const (
	usualSetup = "30G 13 mm needle, supplied syringe"
	longName   = "Wollaston Bay Reinforced Deep Volume Gel with Lidocaine, second generation, 2 × 1.2 mL"
	longSetup  = "30G 13 mm ultra-thin wall needle, fixed-needle 0.3 mL syringe from the second cupboard on the left"
)

// estimated are the scenes of the share by time, whose estimates are made once for all tests.
var estimated struct {
	once   sync.Once
	scenes map[string]ShareByTime
}

// shareScenes are the scenes of the share by time.
func shareScenes(tb testing.TB) map[string]ShareByTime {
	tb.Helper()
	estimated.once.Do(func() { estimated.scenes = estimatedScenes(tb) })
	return estimated.scenes
}

func estimatedScenes(tb testing.TB) map[string]ShareByTime {
	tb.Helper()
	rich := bench{product: "Orrick Mid", setup: "27G 13 mm needle, supplied syringe", class: "medium HA", bore: 0.241,
		length: 13, testers: 5,
		tests: join(shown(0.9, 1.1, 1.3, 1.3, 1.6, 2.1, 2.2, 2.8, 3.4, 4.9),
			[]TestMark{{Seconds: 0.5, PullML: 0.2}, {Seconds: 13.7, PullML: 0.1, Slip: true}})}
	mixed := bench{product: "Pellow Lip", setup: usualSetup, class: "soft HA", bore: 0.165, length: 13, testers: 7,
		tests: join(shown(5.7, 8.9, 12.1, 14.1, 18.5, 24.1, 21.9, 6.6), none(20, 20, 30, 60))}
	fast := bench{product: "Larnoch Hydra", setup: "30G 4 mm needle, supplied syringe", class: "uncrosslinked HA",
		bore: 0.165, length: 4, testers: 4,
		tests: shown(0, 0.03, 0.03, 0.1, 0.07, 0.03)}
	many := rich
	many.tests = nil
	for i := range 60 {
		many.tests = append(many.tests, shown(2+float64(i*7%60)*0.12)...)
	}
	many.tests = append(many.tests, none(20, 20, 20, 20, 30, 30)...)
	scenes := map[string]ShareByTime{
		"rich":  rich.shares(tb),
		"mixed": mixed.shares(tb),
		"fast":  fast.shares(tb),
		"many":  many.shares(tb),
		"one test": bench{product: "Tamsel Soft", setup: "29G 13 mm needle, supplied syringe", class: "soft HA",
			bore: 0.19, length: 13, testers: 1, tests: shown(4.2)}.shares(tb),
		"all none": bench{product: "Hesk Paste", setup: "31G 8 mm needle, supplied syringe", class: "CaHA paste",
			bore: 0.125, length: 8, testers: 3, tests: none(30, 30, 30, 60, 120)}.shares(tb),
		"untested": bench{product: "Dunmere Deep", setup: "30G 8 mm needle, supplied syringe", class: "firm HA",
			bore: 0.165, length: 8,
			elsewhere: shown(3.1, 4.5, 5.2)}.shares(tb),
		"untested, nothing known": {Product: "Dunmere Deep", Setup: usualSetup, Ceiling: 10, Target: 0.9},
	}
	long := mixed
	long.product, long.setup = longName, longSetup
	scenes["long names"] = long.shares(tb)
	late := rich.shares(tb)
	late.Hold, late.Ceiling = 14, 10
	scenes["hold after the ceiling"] = late
	wide := rich.shares(tb)
	wide.Ceiling = 120
	scenes["ceiling of two minutes"] = wide
	return scenes
}

// thinned leaves of the scenes those that differ most where tests are to be
// short: drawing and reading pixels takes long under the race detector.
func thinned[S any](scenes map[string]S, kept ...string) map[string]S {
	if !testing.Short() {
		return scenes
	}
	few := map[string]S{}
	for _, name := range kept {
		few[name] = scenes[name]
	}
	return few
}

// keepPicture leaves the picture in the folder named by -keep, if any.
func keepPicture(tb testing.TB, name string, p Picture) {
	tb.Helper()
	if *keep == "" {
		return
	}
	file := filepath.Join(*keep, fmt.Sprintf("%s.png", name))
	if err := os.WriteFile(file, p.PNG, 0o644); err != nil {
		tb.Fatal(err)
	}
	tb.Logf("%s: %d kB, alt %d characters: %s", file, len(p.PNG)/1000, len([]rune(p.Alt)), p.Alt)
}
