package calc

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"
)

// Holds when the assumptions are wrong: communities are drawn from a world, holds are
// advised by the rule before (the mean share reaches the target, tested, shows in time)
// and by the rule that is in force, and each is held against the true share by it.

// advised is one world in which holds are advised.
type advised struct {
	name  string
	spoil func(*world)
	alone bool // one hand makes all tests, and the group asks for no second one
	blind bool // no log can see it: no aim is set
}

// advisedWorlds are the worlds, the one that the estimate assumes first.
var advisedWorlds = [...]advised{
	{name: "as assumed", spoil: func(*world) {}},
	{name: "a later lot 10 % firmer", spoil: func(w *world) { w.later = 0.10 }},
	{name: "a later lot 30 % firmer", spoil: func(w *world) { w.later = 0.30 }, blind: true},
	{name: "lots that vary by 10 %", spoil: func(w *world) { w.lots = 0.10 }},
	{name: "half the needles regular wall, not on record", spoil: func(w *world) { w.unrecorded = true }},
	{name: "a class one step off", spoil: func(w *world) { w.classOff = 1 }},
	{name: "scatter × 1.5", spoil: func(w *world) { w.spread.Tester, w.spread.Rest = 1.5*w.spread.Tester, 1.5*w.spread.Rest }},
	{name: "one hand × 0.7, mixed with others", spoil: func(w *world) { w.quick = 0.7 }},
	{name: "one hand × 0.7, alone", spoil: func(w *world) { w.quick = 0.7 }, alone: true, blind: true},
	{name: "one set-up in ten odd", spoil: func(w *world) { w.odd = 0.10 }},
}

// holds counts the holds that one rule advised in one world.
type holds struct {
	advised          int
	below90, below80 int
	seconds          float64 // sum over those that both rules advise
}

func (h *holds) add(trueShare float64) {
	h.advised++
	if trueShare < 0.9 {
		h.below90++
	}
	if trueShare < 0.8 {
		h.below80++
	}
}

// adviceIn is how both rules fared in a world.
type adviceIn struct {
	asked         int
	before, after holds
	both          int
}

// tryAdvice draws so many products with three set-ups of one to eight tests by one to
// three hands each, and asks for a hold for each set-up.
func tryAdvice(t testing.TB, kind advised, products int) adviceIn {
	var a adviceIn
	classes := GelClasses()
	for i := range products {
		w := newWorld(uint64(9000 + i))
		kind.spoil(w)
		gel := w.product(classes[i%len(classes)])
		said := gel.class
		if w.classOff != 0 {
			said = classes[(i%len(classes)+w.classOff)%len(classes)]
		}
		var tested []TestedSetup
		for _, s := range w.setups(3) {
			if w.unrecorded {
				if s = w.forget(s); slices.ContainsFunc(tested, func(c TestedSetup) bool { return c.Setup == s }) {
					continue
				}
			}
			c := TestedSetup{Setup: s}
			hands := 1 + w.rng.IntN(3)
			for j := range 1 + w.rng.IntN(8) {
				if hand := j % hands; kind.alone {
					c.Trials = append(c.Trials, w.test(gel, s, 0))
				} else {
					c.Trials = append(c.Trials, w.test(gel, s, hand))
				}
			}
			tested = append(tested, c)
		}
		a.ask(t, w, gel, mustFit(t, said, tested...), tested, kind.alone)
	}
	return a
}

func (a *adviceIn) ask(t testing.TB, w *world, gel *truth, e *Estimate, tested []TestedSetup, alone bool) {
	rule := HoldRule{Ceiling: 10, Target: 0.9, LeastTests: 3, LeastMembers: 2}
	if alone {
		rule.LeastMembers = 1
	}
	for _, c := range tested {
		f := mustForecast(t, e, c.Setup)
		record := SetupRecord{OthersTested: true}
		for j, p := range e.Slips(c.Setup) {
			record.Tests = append(record.Tests, RecordedTest{c.Trials[j], p})
		}
		share := func(h int) float64 { return w.laterShare(gel, c.Setup, DefaultPull, Seconds(h)) }
		a.asked++
		advice := f.Advise(rule, record)
		before := firstSecond(rule.Ceiling, func(h int) bool { return f.mean(Seconds(h)) >= rule.Target })
		if advice.Verdict == ShowsInTime && before > 0 {
			a.before.add(share(before))
		}
		if advice.Withheld == "" {
			a.after.add(share(advice.Seconds))
			a.both++
			a.before.seconds += float64(before)
			a.after.seconds += float64(advice.Seconds)
		}
	}
}

// The aims: shares of advised holds with a true share below 0.9 and 0.8 in the model's
// own world, and below 0.8 where an assumption is wrong.
const (
	mostBelow90 = 0.02
	mostBelow80 = 0.005
	mostWrong   = 0.05
)

// advices writes the section on holds when the assumptions are wrong.
func (r *report) advices(t *testing.T) {
	r.line(`
## 4. Holds when the assumptions are wrong

%d products of all classes in each world, three set-ups of each tested one to eight times by one to three hands; a hold is asked for each
set-up, at 0.1 mL, target 9 in 10, ceiling 10 s. "Before": the mean share alone reaches the target, the set-up was tested and shows in time.
"After": the rule in force (method.md, section 3). Both rest on the same estimate, so that only the rule differs. The true share is that of
the next test, with another syringe. "Half the needles": of each set-up only the gauge is on record, and in truth it is regular wall in every second one.
"A class one step off": the product is on record as the next class of the list. "× 0.7": the first hand logs 0.7 of its times.
`, advisedProducts)
	r.line("| holds advised, and of 100 of them those with a true share below … | before | below 0.9 | below 0.8 | " +
		"after | below 0.9 | below 0.8 | later by, s |")
	r.line("|---|---:|---:|---:|---:|---:|---:|---:|")
	part := func(k, n int) string {
		if n == 0 {
			return "–"
		}
		return fmt.Sprintf("%.1f", 100*float64(k)/float64(n))
	}
	var all [len(advisedWorlds)]adviceIn
	var wait sync.WaitGroup
	for i, kind := range advisedWorlds {
		wait.Go(func() { all[i] = tryAdvice(t, kind, advisedProducts) })
	}
	wait.Wait()
	var missed []string
	for i, kind := range advisedWorlds {
		a := all[i]
		r.line("| %s | %d | %s | %s | %d | %s | %s | %.1f |", kind.name, a.before.advised,
			part(a.before.below90, a.before.advised), part(a.before.below80, a.before.advised),
			a.after.advised, part(a.after.below90, a.after.advised), part(a.after.below80, a.after.advised),
			(a.after.seconds-a.before.seconds)/math.Max(float64(a.both), 1))
		below := func(k int, most float64) bool { return float64(k) <= most*float64(a.after.advised) }
		switch {
		case i == 0 && !(below(a.after.below90, mostBelow90) && below(a.after.below80, mostBelow80)):
			missed = append(missed, fmt.Sprintf("%s (aim: %g of 100 below 0.9, %g below 0.8)", kind.name,
				100*mostBelow90, 100*mostBelow80))
		case i > 0 && !kind.blind && !below(a.after.below80, mostWrong):
			missed = append(missed, fmt.Sprintf("%s (aim: %g of 100 below 0.8)", kind.name, 100*mostWrong))
		}
	}
	r.line("\nAims: as assumed, at most %g of 100 holds with a true share below 0.9 and %g below 0.8; in each wrong "+
		"world but two, at most %g below 0.8. The two", 100*mostBelow90, 100*mostBelow80, 100*mostWrong)
	r.line("are a later lot that is 30 %% firmer and a wrong hand that tests alone: no log can see either, and no "+
		"rule on the log can help. Missed: %s.", orNone(missed))
}

// In the model's own world hardly a hold is too short; few products are drawn here.
func TestHoldsAreHardlyEverTooShort(t *testing.T) {
	computesAlone(t)
	a := tryAdvice(t, advisedWorlds[0], 48)
	t.Logf("%+v", a)
	if a.after.advised < 5 || a.after.advised > a.before.advised {
		t.Errorf("%d of %d holds advised, before %d", a.after.advised, a.asked, a.before.advised)
	}
	if a.after.below80 > 1 || a.after.below90 > 2 {
		t.Errorf("of %d holds %d have a true share below 0.9, %d below 0.8", a.after.advised, a.after.below90,
			a.after.below80)
	}
}
