package calc

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// usualRule is what a group asks that has set nothing.
func usualRule() HoldRule {
	return HoldRule{Ceiling: 10, Target: 0.9, LeastTests: 3, LeastMembers: 2}
}

// recorded is a record of these trials, with the slips that the estimate says.
func recorded(e *Estimate, s Setup, trials []Trial) SetupRecord {
	r := SetupRecord{OthersTested: true}
	slips := e.Slips(s)
	for i, t := range trials {
		r.Tests = append(r.Tests, RecordedTest{Trial: t, Slip: slips[i]})
	}
	return r
}

// madeBy are filmed trials by the hands in turn.
func madeBy(t testing.TB, hands int, seconds ...Seconds) (trials []Trial) {
	for i, at := range seconds {
		trial := filmed(t, at)
		trial.Hand = int64(i%hands + 1)
		trials = append(trials, trial)
	}
	return trials
}

// adviceOn fits one set-up's trials and asks for a hold.
func adviceOn(t testing.TB, class GelClass, rule HoldRule, trials []Trial) Advice {
	s := needle(0.241, 13)
	e := mustFit(t, class, TestedSetup{s, trials})
	return mustForecast(t, e, s).Advise(rule, recorded(e, s, trials))
}

func TestWhatWithholdsAHold(t *testing.T) {
	nones := func(n int) (trials []Trial) {
		for i := range n {
			trial := none(t, 60)
			trial.Hand = int64(i)
			trials = append(trials, trial)
		}
		return trials
	}
	deep := madeBy(t, 2, 2, 2.2, 2.4)
	for i := range deep {
		deep[i].Pull = 3 * DefaultPull
	}
	lone := usualRule()
	lone.LeastMembers = 1
	for name, c := range map[string]struct {
		rule   HoldRule
		trials []Trial
		want   State
		near   bool
	}{
		"no test":                       {usualRule(), nil, StateUntested, false},
		"another pull":                  {usualRule(), deep, StatePullNotTested, true},
		"two tests":                     {usualRule(), madeBy(t, 2, 2, 2.2), StateTooFewTests, true},
		"one hand":                      {usualRule(), madeBy(t, 1, 2, 2.2, 2.4), StateTooFewMembers, true},
		"one hand, asked for no other":  {lone, madeBy(t, 1, 2, 2.2, 2.4), StateHold, false},
		"three tests by two":            {usualRule(), madeBy(t, 2, 2, 2.2, 2.4), StateHold, false},
		"six members, none of them saw": {usualRule(), nones(6), StateUnlikeItsClass, false},
		"slow":                          {usualRule(), madeBy(t, 3, 22, 25, 24, 27, 23, 26), StateTooSlow, false},
	} {
		class := SoftHA
		if c.want == StateTooSlow {
			class = MediumHA
		}
		a := adviceOn(t, class, c.rule, c.trials)
		got := a.State()
		if got == StateUnlikeItsClass { // nothing else of the gel was tested
			t.Errorf("%s: other set-ups were tested", name)
		}
		if a.Withheld == UnlikeTheOthers && c.want == StateUnlikeItsClass {
			got = StateUnlikeItsClass
		}
		if got != c.want || a.Near != c.near || (a.Seconds > 0) != (got == StateHold) {
			t.Errorf("%s: %q, want %q; %+v", name, got, c.want, a)
		}
	}
}

// What is missing is said in numbers, and a look by a trainer lifts one reason only.
func TestAdviceSaysWhatIsMissing(t *testing.T) {
	a := adviceOn(t, SoftHA, usualRule(), madeBy(t, 1, 2))
	if a.NeededTests != 2 || a.NeededMembers != 1 || a.Missing() != 2 || a.Tests != 1 || a.Members != 1 {
		t.Errorf("one test: %+v", a)
	}
	s := needle(0.165, 13)
	trials := madeBy(t, 3, 0.1, 0.12, 0.11, 0.1, 0.13, 0.12) // far quicker than such a gel is
	e := mustFit(t, FirmHA, TestedSetup{s, trials})
	f, r := mustForecast(t, e, s), recorded(e, s, trials)
	r.OthersTested = false
	if a := f.Advise(usualRule(), r); a.State() != StateUnlikeItsClass {
		t.Errorf("odd with probability %.3f: %+v", f.odd, a)
	}
	r.Looked = true
	if a := f.Advise(usualRule(), r); a.State() != StateHold {
		t.Errorf("after a trainer's look: %+v", a)
	}
}

// Orrick Mid through 27G 13 mm in the demo log: 8 of 10 tests had shown by 5 s, which
// the mean share alone took for a hold of 5 s. By (c) nine of them have to have shown.
func TestDemoHoldIsBackedByItsTests(t *testing.T) {
	for _, p := range readDemo(t) {
		e := mustFit(t, p.class, p.others(-1)...)
		for _, c := range p.combinations {
			f := mustForecast(t, e, c.setup)
			a := f.Advise(usualRule(), recorded(e, c.setup, c.trials))
			t.Logf("%s, %s, %s: %s %d s; %d of %d, odd %.3f", p.name, c.instrument, c.syringe, a.State(),
				a.Seconds, a.Shown, a.Counting, f.odd)
			if a.Seconds > 0 && float64(a.Shown) < 0.9*float64(a.Counting) {
				t.Errorf("%s, %s: hold %d s, %d of %d had shown", p.name, c.instrument, a.Seconds, a.Shown, a.Counting)
			}
		}
	}
}

// drawnTrials draws a log of one set-up, as bad as a log can be.
func drawnTrials(t *rapid.T) []Trial {
	hands := rapid.IntRange(1, 4).Draw(t, "hands")
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Trial {
		pull := rapid.SampledFrom([]Volume{0.05, 0.1, 0.11, 0.2, 0.5}).Draw(t, "pull") * Millilitre
		at := Seconds(math.Exp(rapid.Float64Range(-3, 4).Draw(t, "ln seconds")))
		trial, err := TimedTrial(pull, at, StopwatchError)
		if rapid.IntRange(0, 3).Draw(t, "none") == 0 {
			trial, err = NoneTrial(pull, at)
		}
		if err != nil {
			t.Fatal(err)
		}
		trial.Hand = int64(rapid.IntRange(1, hands).Draw(t, "hand"))
		return trial
	}), 0, 12).Draw(t, "trials")
}

// For any log: no hold that the tests, the least numbers or the ceiling do not carry,
// nothing that is not a number, and the same whatever the order.
func TestAdviceForAnyLog(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trials := drawnTrials(t)
		rule := HoldRule{
			Ceiling:      Seconds(rapid.Float64Range(-1, 40).Draw(t, "ceiling")),
			Target:       rapid.SampledFrom([]float64{0, 0.5, 0.8, 0.9, 0.99, 1, math.NaN()}).Draw(t, "target"),
			LeastTests:   rapid.IntRange(0, 4).Draw(t, "least tests"),
			LeastMembers: rapid.IntRange(0, 3).Draw(t, "least members"),
		}
		s := needle(rapid.SampledFrom([]float64{0.125, 0.165, 0.241}).Draw(t, "bore"), 13)
		class := rapid.SampledFrom(GelClasses()).Draw(t, "class")
		e, err := Fit(class, []TestedSetup{{s, trials}}, DefaultSpread())
		if err != nil {
			t.Fatal(err)
		}
		f := mustForecast2(t, e, s, DefaultPull)
		r := recorded(e, s, trials)
		a := f.Advise(rule, r)
		if (a.Seconds > 0) != (a.Withheld == "") || !slices.Contains(states(), a.State()) ||
			!(f.odd >= 0 && f.odd <= 1) {
			t.Fatalf("odd %g, %+v", f.odd, a)
		}
		slices.Reverse(r.Tests)
		if again := f.Advise(rule, r); again != a {
			t.Fatalf("%+v, in another order %+v", a, again)
		}
		if a.Seconds == 0 {
			return
		}
		shown, counting, hands := 0, 0, map[int64]bool{}
		for _, test := range r.Tests {
			if test.Trial.Pull > 1.1*DefaultPull*(1+1e-9) {
				continue
			}
			counting++
			if test.Slip <= 0.5 {
				hands[test.Trial.Hand] = true
			}
			if !test.Trial.None() && float64(test.Trial.From+test.Trial.To)/2 <= float64(a.Seconds)+1e-6 {
				shown++
			}
		}
		h := Seconds(a.Seconds)
		switch share := f.Share(h); {
		case float64(shown) < rule.Target*float64(counting)-1e-6:
			t.Fatalf("%d of %d had shown: %+v", shown, counting, a)
		case h > rule.Ceiling || len(hands) < max(rule.LeastMembers, 1) || a.Tests < max(rule.LeastTests, 2):
			t.Fatalf("%+v of %+v", a, rule)
		case share.Mean < rule.Target-1e-6 || share.Low < rule.Target-0.002:
			t.Fatalf("%+v at %+v", a, share)
		}
		longer := rule
		longer.Ceiling += 5
		if later := f.Advise(longer, r); later.Withheld == "" && later.Seconds != a.Seconds {
			t.Fatalf("%+v, with a longer ceiling %+v", a, later)
		}
	})
}

// Bad input: words, no panic and nothing that is not a number.
func TestAdviceOnBadInput(t *testing.T) {
	many := func(n int, hands int64, one Trial) (trials []Trial) {
		for i := range n {
			one.Hand = int64(i) % hands
			if !one.None() {
				factor := Seconds(math.Exp(0.3 * quantileOfNormal((float64(i*37%n)+0.5)/float64(n))))
				one.From, one.To = filmed(t, 2).From*factor, filmed(t, 2).To*factor
			}
			trials = append(trials, one)
		}
		return trials
	}
	var pulls []Trial
	for i := range 10 {
		trial := filmed(t, 2)
		trial.Pull, trial.Hand = Volume(i+1)*0.05*Millilitre, int64(i)
		pulls = append(pulls, trial)
	}
	below := usualRule()
	below.Ceiling = 0.2
	strict := usualRule()
	strict.Target = 0.99
	for name, c := range map[string]struct {
		rule   HoldRule
		trials []Trial
		hold   bool
	}{
		"a ceiling below every time": {below, madeBy(t, 3, 2, 2.1, 2.2, 2.3), false},
		"a target of 0.99":           {strict, madeBy(t, 3, 9, 6, 7, 9.5), false},
		"a thousand nones":           {usualRule(), many(1000, 7, none(t, 60)), false},
		"ten pulls":                  {usualRule(), pulls, false},
		"one hand, 200 tests":        {usualRule(), many(200, 1, filmed(t, 2)), false},
		"two hands, 200 tests":       {usualRule(), many(200, 2, filmed(t, 2)), true},
	} {
		a := adviceOn(t, SoftHA, c.rule, c.trials)
		t.Logf("%s: %s, %+v", name, a.State(), a)
		if (a.Seconds > 0) != c.hold {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// A wall class that is not on record: the forecast is the mixture of those for each
// class, quick tests point to a wide tube and slow ones to a narrow.
func TestUnrecordedWall(t *testing.T) {
	s, err := setupOfGauge(30, 13*Millimetre+HubLength, SuppliedGas)
	if err != nil {
		t.Fatal(err)
	}
	shares := map[string][]float64{}
	for name, at := range map[string]Seconds{"quick": 0.8, "slow": 15} {
		e := mustFit(t, MediumHA, TestedSetup{s, madeBy(t, 3, at, at*1.1, at*0.9)},
			TestedSetup{needle(0.241, 13), madeBy(t, 3, 1.6, 1.9, 1.7)})
		f := mustForecast(t, e, s)
		mean, sum := 0.0, 0.0
		for k, w := range f.Walls() {
			share := 0.0 // of the class, given the tests
			for i, weight := range f.estimate.weight {
				share += weight * f.tubes[k].rows[i].sum()
			}
			shares[name] = append(shares[name], share)
			mean += share * w.Forecast.Share(3).Mean
			sum += share
		}
		if math.Abs(sum-1) > 1e-3 || math.Abs(mean-f.Share(3).Mean) > 2e-3 {
			t.Errorf("%s: shares add up to %.4f, mixture %.4f, forecast %.4f", name, sum, mean, f.Share(3).Mean)
		}
		data, err := e.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		var back Estimate
		if err := back.UnmarshalBinary(data); err != nil || mustForecast(t, &back, s).Share(3) != f.Share(3) ||
			mustForecast(t, &back, s).odd != f.odd {
			t.Errorf("%s: read back %v", name, err)
		}
	}
	regular, ultra := 0, 3
	if shares["quick"][ultra] < 0.2 || shares["slow"][regular] < 0.36 || shares["quick"][regular] > 0.1 {
		t.Errorf("quick %+v, slow %+v", shares["quick"], shares["slow"])
	}
	if known := mustForecast(t, mustFit(t, MediumHA), needle(0.165, 13)); known.Walls() != nil {
		t.Error("a measured bore has no wall classes")
	}
}
