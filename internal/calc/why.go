package calc

import "math"

// PaceQuestion is what Why is told of a set-up beyond its forecast.
type PaceQuestion struct {
	Hub   Length    // how much of the tube's length is held in the hub
	Gauge int       // 0 if not known: no wider gauge or wall can be named then
	Wall  WallClass // "" if not recorded: AssumedWall
	Milk  Celsius   // temperature of the whole milk on the bench
}

// Pace is what makes a combination quick or slow, by the full model at the middle gel of an
// estimate. A model, not a measurement.
type Pace struct {
	Gel  Gel     // the middle gel: see MiddleGel
	Exit Exit    // when milk reaches the hub
	Held float64 // the part of the suction that the yield stress takes up; from 1 on nothing moves

	Parts   TimeParts // of Exit.Time; all 0 if it is never reached
	Factors Factors   // against a plain combination
	Own     OwnPace   // what the set-up's own tests add to the model

	Changes []Change // what each possible change would do, in a fixed order
	Blood   StandIn
}

// TimeParts divides the time by its causes; the parts add up to 1. Each part is what its cause
// adds to the time, once those before it are there: a gel that only resists flow, under a steady
// suction; its yield stress; the fall of the suction as the tube fills with liquid; the liquid's
// own resistance.
//
// The tube has no part of its own beside the filling, for the gel resists in this tube. Factors
// say what the tube does.
type TimeParts struct{ Flow, Yield, Filling, Liquid float64 }

// Factors compare the time with that of a plain combination. Time is how many times as long this
// one takes; it is divided between the set-up and the gel, Time = Setup × Gel. Each of the two is
// the mean, in logarithms, of changing it before and after the other.
type Factors struct {
	Setup, Gel, Time float64
	Ok               bool // false if one of the four times is never
}

// The plain combination that Factors compare with: a medium gel in the middle of
// its class, a supplied syringe and a tube like a 27G 13 mm thin-wall needle's.
const (
	plainBore   = 0.241 * Millimetre
	plainLength = 13*Millimetre + HubLength
)

// OwnPace is what a set-up's own tests say beyond the model: they behave as if the suction were
// Suction times the computed one. Low and High leave a tenth on either side. Where nobody tested
// it Tested is false and the three are 1.
type OwnPace struct {
	Suction, Low, High float64
	Tested             bool
}

// StandIn says whether milk is a fair stand-in for blood.
type StandIn struct {
	Ratio float64 // time with whole blood at 37 °C over time with milk; 1 if neither arrives
	Fair  bool    // the two differ by less than fairStandIn
}

// fairStandIn is the part of the time by which blood and milk may differ: a third of what one test
// differs from the next (chosen, no source).
const fairStandIn = 0.05

// Why returns what makes the combination quick or slow, and what would change that.
//
// Domain:   milk at 0 to 30 °C; 0 ≤ hub < tube length.
// Accuracy: times 1e-9 relative, for the one gel.
// Errors:   *RangeError; ErrNotConverged.
// Source:   ExitTime.
func (f *Forecast) Why(q PaceQuestion) (*Pace, error) {
	tube := f.setup.Tube
	if !(q.Hub >= 0) || q.Hub >= tube.Length {
		return nil, &RangeError{Name: "length held in the hub", Value: float64(q.Hub),
			Want: "0 or more, less than the whole tube"}
	}
	milk, err := WholeMilk(q.Milk)
	if err != nil {
		return nil, err
	}
	p := &Pace{Gel: f.estimate.MiddleGel(), Own: f.ownPace()}
	at := bench{gel: p.Gel, setup: f.setup, pull: f.pull, liquid: milk}
	if p.Exit, err = at.exit(); err != nil {
		return nil, err
	}
	p.Held = 4 * float64(p.Gel.Yield) * float64(tube.Length/tube.Bore) / float64(p.Exit.Suction)
	if p.Parts, err = at.parts(p.Exit); err != nil {
		return nil, err
	}
	if p.Factors, err = at.factors(p.Exit); err != nil {
		return nil, err
	}
	if p.Blood, err = at.standIn(p.Exit); err != nil {
		return nil, err
	}
	p.Changes, err = q.changes(at, p.Exit)
	return p, err
}

// MiddleGel returns the gel in the middle of the possible ones: the means of ln K, n and ln τy.
// They lie on the ridge that the tests leave; three medians, each taken alone, need not.
func (e *Estimate) MiddleGel() Gel {
	var n, lnK, lnYield, sum float64
	for i, g := range e.points {
		w := e.weight[i]
		sum += w
		n += w * indexOf(g.rung)
		lnK += w * g.lnK
		lnYield += w * g.lnYield
	}
	return Gel{Consistency: math.Exp(lnK / sum), Index: n / sum, Yield: Pressure(math.Exp(lnYield / sum))}
}

// ownPace returns how far the set-up's own tests depart from the model.
func (f *Forecast) ownPace() OwnPace {
	if !f.tested() {
		return OwnPace{Suction: 1, Low: 1, High: 1}
	}
	var sum, mean, second float64
	for _, t := range f.tubes {
		for i := range t.rows {
			for k, m := range t.rows[i].mass {
				δ := f.delta(&t.rows[i], k)
				m *= f.estimate.weight[i]
				sum += m
				mean += m * δ
				second += m * δ * δ
			}
		}
	}
	mean, second = mean/sum, second/sum
	reach := quantileOfNormal(1-tailOfShare) * math.Sqrt(max(second-mean*mean, 0))
	return OwnPace{Suction: math.Exp(mean), Low: math.Exp(mean - reach), High: math.Exp(mean + reach), Tested: true}
}

// bench is what the full model is asked about.
type bench struct {
	gel    Gel
	setup  Setup
	pull   Volume
	liquid Viscosity
}

func (b bench) exit() (Exit, error) {
	return ExitTime(b.gel, b.setup.Tube, Draw{Pull: b.pull, Gas: b.setup.Gas}, b.liquid)
}

// parts divides a time by its causes, taken in the order of TimeParts.
func (b bench) parts(all Exit) (TimeParts, error) {
	if all.Never() {
		return TimeParts{}, nil
	}
	flowing := b.gel
	flowing.Yield = 0
	flow, err := GelOnlyExitTime(flowing, b.setup.Tube, all.Suction)
	if err != nil {
		return TimeParts{}, err
	}
	steady, err := GelOnlyExitTime(b.gel, b.setup.Tube, all.Suction)
	if err != nil {
		return TimeParts{}, err
	}
	alone := 1 - all.LiquidShare // with the suction's fall, without the liquid
	f, s := float64(flow.Time/all.Time), float64(steady.Time/all.Time)
	return TimeParts{Flow: f, Yield: max(s-f, 0), Filling: max(alone-s, 0), Liquid: all.LiquidShare}, nil
}

// factors compares a time with the plain combination's.
func (b bench) factors(here Exit) (Factors, error) {
	plain := plainBench(b)
	times := [3]Seconds{}
	for i, other := range []bench{
		{b.gel, plain.setup, b.pull, b.liquid},
		{plain.gel, b.setup, b.pull, b.liquid},
		plain,
	} {
		exit, err := other.exit()
		if err != nil {
			return Factors{}, err
		}
		times[i] = exit.Time
	}
	setupPlain, gelPlain, bothPlain, none := float64(times[0]), float64(times[1]), float64(times[2]), float64(here.Time)
	f := Factors{
		Setup: math.Sqrt(gelPlain / bothPlain * none / setupPlain),
		Gel:   math.Sqrt(setupPlain / bothPlain * none / gelPlain),
		Time:  none / bothPlain,
	}
	if f.Ok = finite(f.Setup) && finite(f.Gel) && finite(f.Time); !f.Ok {
		return Factors{}, nil
	}
	return f, nil
}

// plainBench is the plain combination, at the same pull and with the same liquid.
func plainBench(b bench) bench {
	p, _ := MediumHA.prior()
	b.gel = Gel{Consistency: math.Exp(p.LnConsistency.Mean), Index: p.Index.Mean,
		Yield: Pressure(math.Exp(p.LnYield.Mean))}
	b.setup = Setup{Tube: Tube{Bore: plainBore, Length: plainLength}, Gas: SuppliedGas}
	return b
}

// standIn puts blood in the place of the milk.
func (b bench) standIn(milk Exit) (StandIn, error) {
	b.liquid = WholeBlood
	blood, err := b.exit()
	if err != nil {
		return StandIn{}, err
	}
	s := StandIn{Ratio: 1}
	if !blood.Never() || !milk.Never() {
		s.Ratio = float64(blood.Time / milk.Time)
	}
	s.Fair = math.Abs(s.Ratio-1) < fairStandIn
	return s, nil
}
