package calc

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// needle is a set-up with a supplied syringe.
func needle(boreMM, exposedMM float64) Setup {
	return Setup{
		Tube: Tube{Bore: Length(boreMM) * Millimetre, Length: Length(exposedMM)*Millimetre + HubLength},
		Gas:  SuppliedGas,
	}
}

func mustFit(t testing.TB, class GelClass, tested ...TestedSetup) *Estimate {
	t.Helper()
	e, err := Fit(class, tested, DefaultSpread())
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func mustForecast(t testing.TB, e *Estimate, s Setup) *Forecast {
	t.Helper()
	f, err := e.Forecast(s, DefaultPull)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// filmed is a trial filmed at 30 frames a second; none a trial without flashback.
func filmed(t testing.TB, at Seconds) Trial {
	t.Helper()
	trial, err := TimedTrial(DefaultPull, at, FilmError(30))
	if err != nil {
		t.Fatal(err)
	}
	return trial
}

func none(t testing.TB, watched Seconds) Trial {
	t.Helper()
	trial, err := NoneTrial(DefaultPull, watched)
	if err != nil {
		t.Fatal(err)
	}
	return trial
}

func TestFitDoesNotDependOnTheOrder(t *testing.T) {
	c := readReferenceCases(t)[5]
	forward, backward := c.tested(), c.tested()
	slices.Reverse(backward)
	for i := range backward {
		slices.Reverse(backward[i].Trials)
	}
	a, b := mustFit(t, c.GelClass, forward...), mustFit(t, c.GelClass, backward...)
	for _, s := range forward {
		fa, fb := mustForecast(t, a, s.Setup), mustForecast(t, b, s.Setup)
		if fa.Share(10) != fb.Share(10) || fa.Time(0.5) != fb.Time(0.5) {
			t.Errorf("%v: %v and %v", s.Setup, fa.Share(10), fb.Share(10))
		}
		back := b.Slips(s.Setup)
		slices.Reverse(back)
		if !slices.Equal(a.Slips(s.Setup), back) {
			t.Errorf("%v: slips %v and %v", s.Setup, a.Slips(s.Setup), back)
		}
	}
}

func TestEstimateComesBackTheSame(t *testing.T) {
	for _, c := range readReferenceCases(t) {
		e := mustFit(t, c.GelClass, c.tested()...)
		data, err := e.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		var back Estimate
		if err := back.UnmarshalBinary(data); err != nil {
			t.Fatal(err)
		}
		again, err := back.MarshalBinary()
		if err != nil || !bytes.Equal(data, again) {
			t.Errorf("%s: written again it differs (%v)", c.GelClass, err)
		}
		for _, want := range c.Expect {
			s := c.setup(want.BoreMM, want.LengthMM)
			if a, b := mustForecast(t, e, s).Share(want.ByS), mustForecast(t, &back, s).Share(want.ByS); a != b {
				t.Errorf("%s: %v, read back %v", c.GelClass, a, b)
			}
		}
		t.Logf("%s: %d points, %d bytes", c.GelClass, len(e.points), len(data))
	}
}

func TestForeignBytesAreNoEstimate(t *testing.T) {
	good, err := mustFit(t, SoftHA, TestedSetup{needle(0.165, 13), []Trial{filmed(t, 3)}}).MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	bad := map[string][]byte{
		"empty":    nil,
		"foreign":  []byte("bench log"),
		"cut":      good[:len(good)-1],
		"longer":   append(slices.Clone(good), 0),
		"newer":    append([]byte{estimateFormat + 1}, good[1:]...),
		"no count": append(slices.Clone(good[:25]), 0xff, 0xff, 0xff, 0xff),
	}
	for name, data := range bad {
		var e Estimate
		if err := e.UnmarshalBinary(data); !errors.Is(err, ErrBadEstimate) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// One absurd line must not carry a product away, and is flagged.
func TestOneSlipIsFlaggedAndHardlyCounts(t *testing.T) {
	s := needle(0.241, 13)
	trials := []Trial{filmed(t, 1.9), filmed(t, 2.4), filmed(t, 2.1), filmed(t, 2.8), filmed(t, 1.7), filmed(t, 2.2)}
	clean := mustFit(t, MediumHA, TestedSetup{s, trials})
	slipped := mustFit(t, MediumHA, TestedSetup{s, append(slices.Clone(trials), filmed(t, 95))})
	slips := slipped.Slips(s)
	for i, p := range slips {
		if flagged := p > 0.5; flagged != (i == len(trials)) {
			t.Errorf("trial %d: slip with probability %.3f", i, p)
		}
	}
	a, b := mustForecast(t, clean, s).Time(0.5), mustForecast(t, slipped, s).Time(0.5)
	if math.Abs(math.Log(float64(b/a))) > 0.05 {
		t.Errorf("half show by %.3g s, with the slip by %.3g s", float64(a), float64(b))
	}
}

func TestMoreTestsNarrowTheEstimate(t *testing.T) {
	s := needle(0.165, 13)
	var trials []Trial
	before := 1.0
	for n := 1; n <= 16; n *= 2 {
		for len(trials) < n {
			trials = append(trials, filmed(t, 9+Seconds(len(trials)%4)))
		}
		share := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, trials}), s).Share(10)
		if width := share.High - share.Low; width >= before {
			t.Errorf("%d tests: width %.3f, before %.3f", n, width, before)
		} else {
			before = width
		}
	}
}

// The share rises with time, with the pull and with the bore, falls with the
// length, and stays between its limits; hold and time agree with it.
func TestForecastProperties(t *testing.T) {
	e := mustFit(t, MediumHA, TestedSetup{needle(0.241, 13), []Trial{filmed(t, 2), filmed(t, 3), none(t, 20)}})
	rapid.Check(t, func(t *rapid.T) {
		bore := rapid.Float64Range(0.09, 0.5).Draw(t, "bore")
		length := rapid.Float64Range(3, 60).Draw(t, "length")
		by := Seconds(rapid.Float64Range(0.1, 60).Draw(t, "by"))
		if rapid.Bool().Draw(t, "tested") {
			bore, length = 0.241, 13
		}
		f := mustForecast2(t, e, needle(bore, length), DefaultPull)
		s := f.Share(by)
		if !(0 <= s.Low && s.Low <= s.High && s.High <= 1 && s.Mean >= 0 && s.Mean <= 1) {
			t.Fatalf("%+v", s)
		}
		if later := f.Share(by * 1.5); later.Mean < s.Mean || later.Low < s.Low-1e-4 || later.High < s.High-1e-4 {
			t.Fatalf("%+v, later %+v", s, later)
		}
		if more := mustForecast2(t, e, needle(bore, length), 2*DefaultPull).Share(by); more.Mean < s.Mean {
			t.Fatalf("%+v, with twice the pull %+v", s, more)
		}
		if bore != 0.241 {
			if wider := mustForecast2(t, e, needle(bore*1.1, length), DefaultPull).Share(by); wider.Mean < s.Mean {
				t.Fatalf("%+v, wider %+v", s, wider)
			}
			if longer := mustForecast2(t, e, needle(bore, length*1.2), DefaultPull).Share(by); longer.Mean > s.Mean {
				t.Fatalf("%+v, longer %+v", s, longer)
			}
		}
		if half := f.Time(0.5); half > shortestTime && finite(float64(half)) &&
			math.Abs(f.Share(half).Mean-0.5) > 0.002 {
			t.Fatalf("half by %g s: %+v", float64(half), f.Share(half))
		}
	})
}

func mustForecast2(t *rapid.T, e *Estimate, s Setup, pull Volume) *Forecast {
	f, err := e.Forecast(s, pull)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestVerdictEdges(t *testing.T) {
	for _, c := range []struct {
		low, high, later float64
		want             Verdict
	}{
		{0.8, 1, 1, ShowsInTime},
		{0.7999, 1, 1, NotSettled},
		{0.2001, 0.7999, 0.9, ShowsSometimes},
		{0.2, 0.7999, 0.9, NotSettled},
		{0.2001, 0.8, 0.9, NotSettled},
		{0, 0.2, 0.5, TooSlow},
		{0, 0.2, 0.4999, NotExpected},
		{0, 0.2001, 0.9, NotSettled},
		{0.1, 0.9, 0.9, NotSettled},
	} {
		if got := verdictOf(Share{Low: c.low, High: c.high}, c.later); got != c.want {
			t.Errorf("%g–%g, later %g: %q, want %q", c.low, c.high, c.later, got, c.want)
		}
	}
}

// Two routes: the closed form against a sum over where the mean may lie.
func TestSettledChanceAgainstSummation(t *testing.T) {
	const spread = 0.144
	for _, c := range []struct{ mean, moved, after float64 }{
		{0.1, 0.01, 0.002}, {-0.2, 0.03, 0.001}, {0, 0.02, 0.01}, {0.12, 0.005, 0.0005},
	} {
		var sum float64
		const steps = 20000
		for i := range steps {
			z := -8 + 16*(float64(i)+0.5)/steps
			m := c.mean + z*math.Sqrt(c.moved)
			lo := distuv.UnitNormal.CDF((m + distuv.UnitNormal.Quantile(0.1)*math.Sqrt(c.after)) / spread)
			hi := distuv.UnitNormal.CDF((m + distuv.UnitNormal.Quantile(0.9)*math.Sqrt(c.after)) / spread)
			if verdictOf(Share{Low: lo, High: hi}, 0) != NotSettled {
				sum += distuv.UnitNormal.Prob(z) * 16 / steps
			}
		}
		if got := settledChance(c.mean, c.moved, c.after, spread); math.Abs(got-sum) > 1e-3 {
			t.Errorf("%+v: %.5f, summed %.5f", c, got, sum)
		}
	}
}

func TestMoreTestsAsksForMoreWhereTheShareIsNearTheEdge(t *testing.T) {
	s := needle(0.165, 13)
	far := mustForecast(t, mustFit(t, FineHA, TestedSetup{s, []Trial{filmed(t, 2)}}), s)
	if n, ok := far.MoreTests(10); !ok || n > 5 {
		t.Errorf("far from the edge: %d, %v", n, ok)
	}
	nearby := mustForecast(t, mustFit(t, MediumHA, TestedSetup{s, []Trial{filmed(t, 7), filmed(t, 9), filmed(t, 8)}}),
		s)
	n, ok := nearby.MoreTests(10)
	if ok && n <= 5 {
		t.Errorf("near the edge: %d", n)
	}
}

// Against gonum's binomial distribution.
func TestCountProbabilitiesAgainstGonum(t *testing.T) {
	chances := slices.Repeat([]float64{0.3}, 12)
	b := distuv.Binomial{N: 12, P: 0.3}
	for k, p := range countProbabilities(chances) {
		if math.Abs(p-b.Prob(float64(k))) > 1e-12 {
			t.Errorf("%d of 12: %.12g, want %.12g", k, p, b.Prob(float64(k)))
		}
	}
}

func TestSurprise(t *testing.T) {
	s := needle(0.165, 13)
	e := mustFit(t, MediumHA, TestedSetup{s, slices.Repeat([]Trial{filmed(t, 3)}, 12)})
	f := mustForecast(t, e, s)
	expected := slices.Repeat([]Trial{filmed(t, 3)}, 8)
	if p := f.Surprise(expected, 10); p < 0.05 {
		t.Errorf("eight of eight shown, as expected: %.4f", p)
	}
	against := slices.Repeat([]Trial{none(t, 20)}, 8)
	if p := f.Surprise(against, 10); p > 0.001 {
		t.Errorf("none of eight shown: %.4f", p)
	}
	short := slices.Repeat([]Trial{none(t, 5)}, 8)
	if p := f.Surprise(short, 10); p != 1 {
		t.Errorf("watched for less than the ceiling: %.4f, want 1", p)
	}
}

func TestFitRefuses(t *testing.T) {
	s := needle(0.165, 13)
	inf := Seconds(math.Inf(1))
	nan := math.NaN()
	for name, c := range map[string]struct {
		class  GelClass
		tested []TestedSetup
		spread Spread
	}{
		"a class unknown": {"jelly", nil, DefaultSpread()},
		"the same set-up": {SoftHA, []TestedSetup{{Setup: s}, {Setup: s}}, DefaultSpread()},
		"no bore":         {SoftHA, []TestedSetup{{Setup: needle(0, 13)}}, DefaultSpread()},
		"NaN length":      {SoftHA, []TestedSetup{{Setup: needle(0.2, nan)}}, DefaultSpread()},
		"no pull":         {SoftHA, []TestedSetup{{s, []Trial{{Pull: 0, From: 1, To: 2}}}}, DefaultSpread()},
		"an interval reversed": {SoftHA, []TestedSetup{{s, []Trial{{Pull: DefaultPull, From: 2, To: 1}}}},
			DefaultSpread()},
		"never watched": {SoftHA, []TestedSetup{{s, []Trial{{Pull: DefaultPull, From: 0, To: inf}}}},
			DefaultSpread()},
		"NaN seconds": {SoftHA, []TestedSetup{{s, []Trial{{Pull: DefaultPull, From: Seconds(nan), To: 1}}}},
			DefaultSpread()},
		"no spread": {SoftHA, nil, Spread{}},
	} {
		var out *RangeError
		if _, err := Fit(c.class, c.tested, c.spread); !errors.As(err, &out) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzFit(f *testing.F) {
	f.Add(0.165, 13.0, 0.1, 3.0, 30.0, uint8(2))
	f.Add(0.1, 60.0, 1.0, 0.0, 1e6, uint8(7))
	f.Fuzz(func(t *testing.T, bore, length, pull, at, watched float64, class uint8) {
		s := needle(bore, length)
		timed, err1 := TimedTrial(Volume(pull)*Millilitre, Seconds(at), FilmError(30))
		unseen, err2 := NoneTrial(Volume(pull)*Millilitre, Seconds(watched))
		if err1 != nil || err2 != nil {
			return
		}
		classes := GelClasses()
		e, err := Fit(classes[int(class)%len(classes)], []TestedSetup{{s, []Trial{timed, unseen}}}, DefaultSpread())
		if err != nil {
			return
		}
		fc, err := e.Forecast(s, DefaultPull)
		if err != nil {
			t.Fatal(err)
		}
		share := fc.Share(10)
		if !(share.Mean >= 0 && share.Mean <= 1 && share.Low >= 0 && share.Low <= share.High && share.High <= 1) {
			t.Fatalf("share %+v", share)
		}
	})
}

func BenchmarkForecast(b *testing.B) {
	tested := madeUpTests(10, 20)
	e := mustFit(b, MediumHA, tested...)
	for b.Loop() {
		f := mustForecast(b, e, tested[3].Setup)
		f.Share(10)
		f.Time(0.5)
		f.Time(0.1)
		f.Time(0.9)
		f.Verdict(10)
	}
}
