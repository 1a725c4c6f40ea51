package calc

import (
	"math"
	"slices"
	"strconv"
	"testing"
)

// The estimate against a general-purpose sampler: JAGS 4.3.1 through rjags 4-13,
// 24 000 draws kept of 240 000, exit times by R's integrate. testdata/mcmc.R makes the numbers.

// How far the fit may be from the sampler: four Monte Carlo standard errors, and
// what the fit itself promises.
const (
	mcmcErrors    = 4
	shareAccuracy = 0.002
	limitAccuracy = 0.01
	slipAccuracy  = 0.005 // a slip's probability is summed over the likeliest 90 %
)

// sampled reads testdata/mcmc_tests.csv: by set, the class and the tested set-ups,
// and where each line of the file went.
type sampled struct {
	class  GelClass
	tested []TestedSetup
	at     map[int][2]int // test → set-up and trial
}

func readSampled(t *testing.T) map[string]*sampled {
	t.Helper()
	sets := map[string]*sampled{}
	for _, r := range readRecords(t, "mcmc_tests.csv") {
		set := sets[r.cell["set"]]
		if set == nil {
			set = &sampled{class: GelClass(r.cell["gel_class"]), at: map[int][2]int{}}
			sets[r.cell["set"]] = set
		}
		s := sampledSetup(r)
		i := slices.IndexFunc(set.tested, func(c TestedSetup) bool { return c.Setup == s })
		if i < 0 {
			i = len(set.tested)
			set.tested = append(set.tested, TestedSetup{Setup: s})
		}
		to := Seconds(math.Inf(1))
		if x, err := strconv.ParseFloat(r.cell["to_s"], 64); err == nil {
			to = Seconds(x)
		}
		set.at[r.whole("test")] = [2]int{i, len(set.tested[i].Trials)}
		set.tested[i].Trials = append(set.tested[i].Trials,
			Trial{Pull: Volume(r.number("pull_ml")) * Millilitre, From: Seconds(r.number("from_s")), To: to,
				Hand: int64(r.whole("hand"))})
	}
	return sets
}

func sampledSetup(r record) Setup {
	s := needle(r.number("bore_mm"), r.number("exposed_mm"))
	s.Gas = Volume(r.number("gas_ml")) * Millilitre
	return s
}

func TestFitAgainstJAGS(t *testing.T) {
	estimates := map[string]*Estimate{}
	sets := readSampled(t)
	for name, set := range sets {
		estimates[name] = mustFit(t, set.class, set.tested...)
	}
	var worst float64
	for _, r := range readRecords(t, "mcmc_shares.csv") {
		f := mustForecast(t, estimates[r.cell["set"]], sampledSetup(r))
		if (f.tubes[0].rows != nil) != (r.whole("tested") == 1) {
			t.Fatalf("%v: tested %v", r.cell, f.tubes[0].rows != nil)
		}
		got := f.Share(Seconds(r.number("by_s")))
		for _, c := range []struct {
			column        string
			got, accuracy float64
		}{{"share", got.Mean, shareAccuracy}, {"low", got.Low, limitAccuracy}, {"high", got.High, limitAccuracy}} {
			off := math.Abs(c.got - r.number(c.column))
			worst = max(worst, off)
			if off > c.accuracy+mcmcErrors*r.number(c.column+"_error") {
				t.Errorf("%s, %s mm × %s mm by %s s: %s %.4f, sampled %s ± %s", r.cell["set"], r.cell["bore_mm"],
					r.cell["exposed_mm"],
					r.cell["by_s"], c.column, c.got, r.cell[c.column], r.cell[c.column+"_error"])
			}
		}
	}
	t.Logf("furthest apart: %.4f", worst)
}

func TestSlipsAgainstJAGS(t *testing.T) {
	sets := readSampled(t)
	for _, r := range readRecords(t, "mcmc_slips.csv") {
		set := sets[r.cell["set"]]
		at := set.at[r.whole("test")]
		got := mustFit(t, set.class, set.tested...).Slips(set.tested[at[0]].Setup)[at[1]]
		if off := math.Abs(got - r.number("slip")); off > slipAccuracy+mcmcErrors*r.number("error") {
			t.Errorf("%s, test %s: slip %.4f, sampled %s ± %s", r.cell["set"], r.cell["test"], got, r.cell["slip"],
				r.cell["error"])
		}
	}
}
