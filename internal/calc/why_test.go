package calc

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// asked is a question about a needle with a supplied syringe, milk at 20 °C.
func asked(gauge int, bore, exposed float64) paceOf {
	return paceOf{needle(bore, exposed), DefaultPull, PaceQuestion{Hub: HubLength, Gauge: gauge, Wall: Thin, Milk: 20}}
}

// paceOf asks for the pace of a set-up at a pull.
type paceOf struct {
	Setup Setup
	Pull  Volume
	PaceQuestion
}

func (q paceOf) why(e *Estimate) (*Pace, error) {
	f, err := e.Forecast(q.Setup, q.Pull)
	if err != nil {
		return nil, err
	}
	return f.Why(q.PaceQuestion)
}

func mustWhy(t testing.TB, e *Estimate, q paceOf) *Pace {
	t.Helper()
	p, err := q.why(e)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func change(t testing.TB, p *Pace, kind ChangeKind) Change {
	t.Helper()
	for _, c := range p.Changes {
		if c.Kind == kind {
			return c
		}
	}
	t.Fatalf("no change %q", kind)
	return Change{}
}

// The parts add up to the whole, and what slows a test down helps when lessened.
func TestWhyProperties(t *testing.T) {
	e := mustFit(t, MediumHA, TestedSetup{needle(0.241, 13), []Trial{filmed(t, 2), filmed(t, 3)}})
	rapid.Check(t, func(r *rapid.T) {
		q := asked(30, rapid.Float64Range(0.1, 0.5).Draw(r, "bore"), rapid.Float64Range(3, 60).Draw(r, "exposed"))
		p, err := q.why(e)
		if err != nil {
			r.Fatal(err)
		}
		sum := p.Parts.Flow + p.Parts.Yield + p.Parts.Filling + p.Parts.Liquid
		switch {
		case p.Exit.Never() && (sum != 0 || p.Held < 1):
			r.Fatalf("never, yet %+v, held %g", p.Parts, p.Held)
		case !p.Exit.Never() && (math.Abs(sum-1) > 1e-6 || p.Held >= 1):
			r.Fatalf("%+v add up to %g, held %g", p.Parts, sum, p.Held)
		}
		if f := p.Factors; f.Ok && !near(f.Setup*f.Gel, f.Time, 1e-9) {
			r.Fatalf("%+v", f)
		}
		for _, c := range p.Changes {
			if c.TimeRatio > 1+1e-9 {
				r.Fatalf("%s: %g times as long", c.Kind, c.TimeRatio)
			}
		}
	})
}

// Closed form: without yield stress and with a pull that holds its suction, time
// goes with length^(1+1/n) and bore^−(1+1/n).
func TestWhyHalvingAPowerLawTube(t *testing.T) {
	const tol = 0.01 // the middle gel keeps a trace of yield stress, the suction falls a little
	e := &Estimate{spread: DefaultSpread(), points: []gelPoint{{rung: 38, lnK: math.Log(40), lnYield: math.Log(1e-3)}},
		weight: []float64{1}}
	q := asked(27, 0.241, 13)
	q.Hub = 0
	q.Pull = 2 * Millilitre // below the vapour pressure: the suction does not fall
	p := mustWhy(t, e, q)
	n := indexOf(38)
	if got, want := change(t, p, HalfLength).TimeRatio, math.Pow(0.5, 1+1/n); !near(got, want, tol) {
		t.Errorf("half the length: %.4f of the time, want %.4f", got, want)
	}
	if got, want := change(t, p, WiderGauge).TimeRatio, math.Pow(0.292/0.241, -1-1/n); !near(got, want, tol) {
		t.Errorf("26G for 27G: %.4f of the time, want %.4f", got, want)
	}
	if c := change(t, p, TwicePull); !near(c.TimeRatio, 1, tol) {
		t.Errorf("twice a pull that already boils: %.4f of the time", c.TimeRatio)
	}
	if p.Parts.Flow < 0.98 {
		t.Errorf("a power-law gel's time is its flow: %+v", p.Parts)
	}
}

// For gels milk is a fair stand-in: from the soft ones on the liquid's part is
// below 1 %, for the thinnest it is 5 %. For a liquid as thin as blood it is not.
func TestWhyMilkAsAStandIn(t *testing.T) {
	for _, class := range GelClasses() {
		p := mustWhy(t, mustFit(t, class), asked(27, 0.241, 13))
		most := 0.01
		if class == UncrosslinkedHA || class == FineHA {
			most = 0.05
		}
		if !p.Blood.Fair || p.Parts.Liquid > most {
			t.Errorf("%s: blood takes %.4f of the time with milk, liquid's part %.4f", class, p.Blood.Ratio,
				p.Parts.Liquid)
		}
	}
	thin := &Estimate{spread: DefaultSpread(), points: []gelPoint{{rung: ladderLength - 1, lnK: math.Log(0.005),
		lnYield: math.Log(1e-3)}}, weight: []float64{1}}
	p := mustWhy(t, thin, asked(27, 0.241, 13))
	if p.Blood.Fair || p.Blood.Ratio < 1.1 || p.Parts.Liquid < 0.2 {
		t.Errorf("a liquid of 5 mPa·s: blood takes %.3f of the time, liquid's part %.3f", p.Blood.Ratio, p.Parts.Liquid)
	}
	if c := change(t, p, WarmerMilk); c.TimeRatio > 0.97 {
		t.Errorf("warmer milk: %.3f of the time", c.TimeRatio)
	}
}

// The plain combination is 1 times itself, and a firm gel in a long fine tube
// never comes, which leaves no factors but says how much suction is taken up.
func TestWhyFactors(t *testing.T) {
	p, _ := MediumHA.prior()
	plain := &Estimate{spread: DefaultSpread(), weight: []float64{1},
		// rung 24: n 0.36, the class's
		points: []gelPoint{{rung: 24, lnK: p.LnConsistency.Mean, lnYield: p.LnYield.Mean}}}
	f := mustWhy(t, plain, asked(27, 0.241, 13)).Factors
	for _, x := range []float64{f.Setup, f.Gel, f.Time} {
		if !near(x, 1, 1e-6) {
			t.Errorf("plain against plain: %+v", f)
		}
	}
	never := mustWhy(t, mustFit(t, CaHAPaste), asked(32, 0.105, 50))
	if never.Factors.Ok || never.Held < 1 || never.Parts != (TimeParts{}) || !never.Exit.Never() {
		t.Errorf("CaHA paste through 50 mm of 32G: %+v", never)
	}
	if c := change(t, never, TwicePull); c.TimeRatio != 1 {
		t.Errorf("twice the pull for what never comes: %+v", c)
	}
	if never.Blood.Ratio != 1 || !never.Blood.Fair {
		t.Errorf("neither comes: %+v", never.Blood)
	}
}

// The gauges and walls named must exist in the standard's table and be wider.
func TestWhyNamesWiderTubes(t *testing.T) {
	e := mustFit(t, SoftHA)
	p := mustWhy(t, e, asked(30, 0.165, 13))
	if c := change(t, p, WiderGauge); c.Gauge != 29 || c.Setup.Tube.Bore != 0.19*Millimetre {
		t.Errorf("next to 30G thin: %dG %g mm", c.Gauge, c.Setup.Tube.Bore.Millimetres())
	}
	if c := change(t, p, WiderWall); c.Wall != ExtraThin || c.Setup.Tube.Bore != 0.19*Millimetre {
		t.Errorf("30G, next to thin: %s %g mm", c.Wall, c.Setup.Tube.Bore.Millimetres())
	}
	// A measured bore wider than the table's: 29G and 28G at 0.19 mm are no wider.
	q := asked(30, 0.2, 13)
	q.Wall = ""
	if c := change(t, mustWhy(t, e, q), WiderGauge); c.Gauge != 27 {
		t.Errorf("next to a 30G measured at 0.2 mm: %dG", c.Gauge)
	}
	widest := mustWhy(t, e, asked(22, 0.53, 50))
	unknown := mustWhy(t, e, asked(0, 0.165, 13))
	for _, p := range []*Pace{widest, unknown} {
		for _, c := range p.Changes {
			if c.Kind == WiderGauge || c.Kind == WiderWall {
				t.Errorf("%s named: %+v", c.Kind, c)
			}
		}
	}
}

func TestWhyTellsWhatTheTestsAddToTheModel(t *testing.T) {
	quick, slow := needle(0.165, 13), needle(0.241, 13)
	e := mustFit(t, MediumHA,
		TestedSetup{quick, []Trial{filmed(t, 2), filmed(t, 2.2), filmed(t, 1.9), filmed(t, 2.1)}},
		TestedSetup{slow, []Trial{filmed(t, 3), filmed(t, 3.2), filmed(t, 2.9), filmed(t, 3.1)}})
	if own := mustWhy(t, e, asked(30, 0.165, 13)).Own; !own.Tested || own.Suction < 1.05 || own.Low > own.Suction ||
		own.High < own.Suction {
		t.Errorf("a fine tube as quick as a wide one: %+v", own)
	}
	if own := mustWhy(t, e, asked(30, 0.165, 4)).Own; own != (OwnPace{1, 1, 1, false}) {
		t.Errorf("nobody tested it: %+v", own)
	}
}

func TestWhyRefuses(t *testing.T) {
	e := mustFit(t, SoftHA)
	for name, spoil := range map[string]func(q *paceOf){
		"no bore":           func(q *paceOf) { q.Setup.Tube.Bore = 0 },
		"all hub":           func(q *paceOf) { q.Hub = q.Setup.Tube.Length },
		"NaN hub":           func(q *paceOf) { q.Hub = Length(math.NaN()) },
		"no pull":           func(q *paceOf) { q.Pull = 0 },
		"boiling milk":      func(q *paceOf) { q.Milk = 100 },
		"an infinite tube":  func(q *paceOf) { q.Setup.Tube.Length = Length(math.Inf(1)) },
		"a NaN temperature": func(q *paceOf) { q.Milk = Celsius(math.NaN()) },
	} {
		q := asked(30, 0.165, 13)
		spoil(&q)
		var out *RangeError
		if _, err := q.why(e); !errors.As(err, &out) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func BenchmarkWhy(b *testing.B) {
	e := mustFit(b, MediumHA, madeUpTests(5, 10)...)
	for b.Loop() {
		mustWhy(b, e, asked(30, 0.165, 13))
	}
}
