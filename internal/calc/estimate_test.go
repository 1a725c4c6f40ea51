package calc

import (
	"encoding/json"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

// referenceCase is one data set of testdata/posterior.json.
type referenceCase struct {
	GelClass     GelClass `json:"gel_class"`
	GasML        float64  `json:"gas_ml"`
	Combinations []struct {
		BoreMM   float64 `json:"bore_mm"`
		LengthMM float64 `json:"length_mm"`
		Tests    []struct {
			FromS  float64  `json:"from_s"`
			ToS    *float64 `json:"to_s"`
			PullML float64  `json:"pull_ml"`
			Hand   string   `json:"hand"`
		} `json:"tests"`
		Odd float64 `json:"p_odd"`
	} `json:"combinations"`
	Expect []struct {
		BoreMM   float64 `json:"bore_mm"`
		LengthMM float64 `json:"length_mm"`
		PullML   float64 `json:"pull_ml"`
		ByS      Seconds `json:"by_s"`
		Tested   bool    `json:"tested"`
		Share    float64 `json:"share"`
		Low      float64 `json:"low"`
		High     float64 `json:"high"`
		HoldS    *int    `json:"hold_s"`
	} `json:"expect"`
}

func readReferenceCases(t testing.TB) []referenceCase {
	t.Helper()
	data, err := os.ReadFile("testdata/posterior.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []referenceCase
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	if len(cases) == 0 {
		t.Fatal("no reference cases")
	}
	return cases
}

func (c referenceCase) setup(boreMM, exposedMM float64) Setup {
	return Setup{
		Tube: Tube{Bore: Length(boreMM) * Millimetre, Length: Length(exposedMM)*Millimetre + HubLength},
		Gas:  Volume(c.GasML) * Millilitre,
	}
}

func (c referenceCase) tested() []TestedSetup {
	var all []TestedSetup
	for _, comb := range c.Combinations {
		s := TestedSetup{Setup: c.setup(comb.BoreMM, comb.LengthMM)}
		for _, test := range comb.Tests {
			to := Seconds(math.Inf(1))
			if test.ToS != nil {
				to = Seconds(*test.ToS)
			}
			hand, _ := strconv.ParseInt(strings.TrimPrefix(test.Hand, "h"), 10, 64)
			s.Trials = append(s.Trials, Trial{Pull: Volume(test.PullML) * Millilitre, From: Seconds(test.FromS), To: to,
				Hand: hand})
		}
		all = append(all, s)
	}
	return all
}

// testdata/posterior.json was computed with a NumPy grid of 53×21×53 products, hands
// by 7-point Gauss–Hermite, δ in steps of 0.02 and limits by convolution, independently
// of this package. Where a limit is steep it may be that of a moment earlier or later.
func TestFitAgainstNumPy(t *testing.T) {
	const meanTol, limitTol, moment, oddTol = 0.002, 0.005, 0.005, 0.01
	var worst [4]float64
	for _, c := range readReferenceCases(t) {
		e, err := Fit(c.GelClass, c.tested(), DefaultSpread())
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %d points", c.GelClass, len(e.points))
		for _, comb := range c.Combinations {
			got := mustForecast(t, e, c.setup(comb.BoreMM, comb.LengthMM)).odd
			worst[3] = max(worst[3], math.Abs(got-comb.Odd))
			if math.Abs(got-comb.Odd) > oddTol {
				t.Errorf("%s, %g×%g mm: odd %.4f, want %.4f", c.GelClass, comb.BoreMM, comb.LengthMM, got, comb.Odd)
			}
		}
		for _, want := range c.Expect {
			f, err := e.Forecast(c.setup(want.BoreMM, want.LengthMM), Volume(want.PullML)*Millilitre)
			if err != nil {
				t.Fatal(err)
			}
			if (f.tubes[0].rows != nil) != want.Tested {
				t.Fatalf("%s %v: tested %v", c.GelClass, want, f.tubes[0].rows != nil)
			}
			got, sooner, later := f.Share(want.ByS), f.Share(want.ByS-moment), f.Share(want.ByS+moment)
			off := func(want, sooner, got, later float64) float64 {
				if want >= sooner && want <= later {
					return 0
				}
				return min(math.Abs(want-sooner), math.Abs(want-got), math.Abs(want-later))
			}
			low, high := off(want.Low, sooner.Low, got.Low, later.Low),
				off(want.High, sooner.High, got.High, later.High)
			worst = [4]float64{max(worst[0], math.Abs(got.Mean-want.Share)), max(worst[1], low), max(worst[2], high),
				worst[3]}
			if math.Abs(got.Mean-want.Share) > meanTol || low > limitTol || high > limitTol {
				t.Errorf("%s, %g×%g mm by %g s: %.4f (%.4f–%.4f), want %.4f (%.4f–%.4f)", c.GelClass, want.BoreMM,
					want.LengthMM,
					float64(want.ByS), got.Mean, got.Low, got.High, want.Share, want.Low, want.High)
			}
			if want.HoldS == nil {
				continue
			}
			rule := HoldRule{Ceiling: 60, Target: 0.9}
			if hold := firstSecond(rule.Ceiling, func(h int) bool { return f.reaches(Seconds(h), rule.Target) }); hold != *want.HoldS {
				t.Errorf("%s, %g×%g mm: hold %d, want %d", c.GelClass, want.BoreMM, want.LengthMM, hold, *want.HoldS)
			}
		}
	}
	t.Logf("furthest apart: mean %.4f, low %.4f, high %.4f, odd %.4f", worst[0], worst[1], worst[2], worst[3])
}

func BenchmarkFitTenByTwenty(b *testing.B)  { benchmarkFit(b, 10, 20) }
func BenchmarkFitThreeByThree(b *testing.B) { benchmarkFit(b, 3, 3) }

// One set-up with 1 000 tests, and ten with 100 and with 1 000 each.
func BenchmarkFitOneByThousand(b *testing.B) { benchmarkFit(b, 1, 1000) }
func BenchmarkFitTenByHundred(b *testing.B)  { benchmarkFit(b, 10, 100) }
func BenchmarkFitTenByThousand(b *testing.B) { benchmarkFit(b, 10, 1000) }

func benchmarkFit(b *testing.B, setups, trials int) {
	exitTables()
	tested := madeUpTests(setups, trials)
	for b.Loop() {
		if _, err := Fit(MediumHA, tested, DefaultSpread()); err != nil {
			b.Fatal(err)
		}
	}
}

// madeUpTests draws tests of one medium gel from the model itself, by a fixed
// rule instead of chance.
func madeUpTests(setups, trials int) []TestedSetup {
	bores := []float64{0.165, 0.19, 0.241, 0.292, 0.44}
	lengths := []float64{4, 8, 13, 19, 38}
	g := Gel{Consistency: 50, Index: 0.37, Yield: 28}
	table := newExitTable(g.Index)
	var all []TestedSetup
	for i := range setups {
		s := TestedSetup{Setup: Setup{
			Tube: Tube{Bore: Length(bores[i%5]) * Millimetre, Length: Length(lengths[(i+i/5)%5])*Millimetre +
				HubLength},
			Gas: SuppliedGas,
		}}
		for j := range trials {
			pull := []Volume{0.05, 0.1, 0.2}[j%3] * Millilitre
			p, _ := Draw{Pull: pull, Gas: SuppliedGas}.Suction()
			scatter := math.Exp(0.14*math.Sin(float64(7*i+13*j)) + 0.1*math.Cos(float64(5*i)))
			at, _ := table.ExitTime(g, s.Setup.Tube, p*Pressure(scatter))
			trial, err := TimedTrial(pull, at, FilmError(30))
			if at > 30 || err != nil {
				trial, _ = NoneTrial(pull, 30)
			}
			trial.Hand = int64(j % 8)
			s.Trials = append(s.Trials, trial)
		}
		all = append(all, s)
	}
	return all
}

// TestBytesIsWhatAnEstimateTakes holds the count against the heap, for estimates
// that were fitted and for those that were read back.
func TestBytesIsWhatAnEstimateTakes(t *testing.T) {
	tested := readReferenceCases(t)[0].tested()
	stored := func() []byte {
		e, err := Fit(MediumHA, tested, DefaultSpread())
		if err != nil {
			t.Fatal(err)
		}
		data, err := e.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		return data
	}()
	for how, make := range map[string]func() (*Estimate, error){
		"fitted":    func() (*Estimate, error) { return Fit(MediumHA, tested, DefaultSpread()) },
		"read back": func() (e *Estimate, err error) { e = new(Estimate); return e, e.UnmarshalBinary(stored) },
	} {
		kept := [20]*Estimate{}
		before, counted := heapInUse(), 0
		for i := range kept {
			var err error
			if kept[i], err = make(); err != nil {
				t.Fatal(err)
			}
			counted += kept[i].Bytes()
		}
		taken := float64(heapInUse() - before)
		if ratio := float64(counted) / taken; ratio < 0.85 || ratio > 1.15 {
			t.Errorf("%s: counted as %d bytes, takes %.0f", how, counted, taken)
		}
		runtime.KeepAlive(&kept)
	}
}

func heapInUse() int64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}
