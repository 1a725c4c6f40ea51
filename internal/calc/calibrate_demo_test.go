package calc

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The demo community's log, and the estimate tried on each of its combinations in
// turn with that combination's own tests left out.

// demoCombination is one tested combination of the demo log.
type demoCombination struct {
	product, instrument, syringe string
	setup                        Setup
	trials                       []Trial
}

// demoProduct is one product of the demo log with its tested combinations.
type demoProduct struct {
	name         string
	class        GelClass
	combinations []demoCombination
}

// readDemo reads products, instruments and tests of the demo log.
func readDemo(t testing.TB) []demoProduct {
	t.Helper()
	var products []demoProduct
	place := map[string]int{}
	members := map[string]int64{}
	handOf := func(member string) int64 {
		if members[member] == 0 {
			members[member] = int64(len(members) + 1)
		}
		return members[member]
	}
	for _, line := range demoLines(t, "products.csv") {
		place[line["name"]] = len(products)
		products = append(products, demoProduct{name: line["name"], class: GelClass(line["gel_class"])})
	}
	tubes := map[string]Tube{}
	for _, line := range demoLines(t, "instruments.csv") {
		tubes[line["name"]] = Tube{
			Bore:   Length(demoNumber(t, line["bore_mm"])) * Millimetre,
			Length: Length(demoNumber(t, line["length_mm"]))*Millimetre + HubLength,
		}
	}
	for _, line := range demoLines(t, "tests.csv") {
		p := &products[place[line["product"]]]
		setup := Setup{Tube: tubes[line["instrument"]], Gas: SuppliedGas}
		if strings.HasPrefix(line["syringe"], "fixed-needle") {
			setup.Gas = FixedNeedleGas
		}
		i := slices.IndexFunc(p.combinations, func(c demoCombination) bool { return c.setup == setup })
		if i < 0 {
			i = len(p.combinations)
			p.combinations = append(p.combinations, demoCombination{
				product: p.name, instrument: line["instrument"], syringe: line["syringe"], setup: setup})
		}
		c := &p.combinations[i]
		trial := demoTrial(t, line)
		trial.Hand = handOf(line["member"])
		c.trials = append(c.trials, trial)
	}
	return products
}

func demoLines(t testing.TB, file string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../config/demo/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %d lines, %v", file, len(lines), err)
	}
	var all []map[string]string
	for _, line := range lines[1:] {
		cells := map[string]string{}
		for i, column := range lines[0] {
			cells[column] = line[i]
		}
		all = append(all, cells)
	}
	return all
}

func demoNumber(t testing.TB, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// demoTrial is one line of the log as the estimate takes it.
func demoTrial(t testing.TB, line map[string]string) Trial {
	t.Helper()
	pull := Volume(demoNumber(t, line["pull_ml"])) * Millilitre
	var trial Trial
	var err error
	switch fps, video := strings.CutPrefix(line["timing"], "video "); {
	case line["outcome"] == "none":
		trial, err = NoneTrial(pull, Seconds(demoNumber(t, line["limit_s"])))
	case video:
		trial, err = TimedTrial(pull, Seconds(demoNumber(t, line["seconds"])),
			FilmError(demoNumber(t, strings.TrimSuffix(fps, " fps"))))
	default:
		trial, err = TimedTrial(pull, Seconds(demoNumber(t, line["seconds"])), StopwatchError)
	}
	if err != nil {
		t.Fatalf("%v: %v", line, err)
	}
	return trial
}

// others are the product's tests without one combination.
func (p demoProduct) others(without int) []TestedSetup {
	var tested []TestedSetup
	for i, c := range p.combinations {
		if i != without {
			tested = append(tested, TestedSetup{c.setup, c.trials})
		}
	}
	return tested
}

// shownBy counts the trials that say anything about a time, and those that showed by it.
func shownBy(trials []Trial, by Seconds) (shown, n int) {
	for _, t := range trials {
		switch {
		case !t.None() && (t.From+t.To)/2 <= by:
			shown++
			n++
		case !t.None() || t.From >= by:
			n++
		}
	}
	return shown, n
}

// leftOut is how one combination's tests lie to what was said without them.
type leftOut struct {
	name      string
	others    int // tests of the product's other combinations
	shown, n  int
	share     Share   // said of the tests left out, at the pulls they were made with
	low, high float64 // shares that the counts agree with: exact 80 % limits
	tail      float64 // predictive probability of so few or so many shown
	scores    [3]float64
}

// The ways to predict that are scored against one another.
var predictors = [...]string{"estimate from the product's other tests", "gel class alone",
	"counts of the nearest tested combination"}

// agrees reports whether the interval said holds a share that the counts agree with.
func (l leftOut) agrees() bool { return l.low <= l.share.High && l.high >= l.share.Low }

// contains reports whether the interval said holds the counted share itself.
func (l leftOut) contains() bool {
	k := float64(l.shown) / float64(l.n)
	return k >= l.share.Low-1e-9 && k <= l.share.High+1e-9
}

// leaveOut predicts each combination of the demo log from the rest of its product.
func leaveOut(t testing.TB, products []demoProduct, by Seconds) []leftOut {
	var all []leftOut
	for _, p := range products {
		for i, c := range p.combinations {
			tested := p.others(i)
			l := leftOut{name: fmt.Sprintf("%s, %s, %s", p.name, c.instrument, c.syringe)}
			for _, o := range tested {
				l.others += len(o.Trials)
			}
			l.shown, l.n = shownBy(c.trials, by)
			limits, err := ClopperPearson(l.shown, l.n, 0.8)
			if err != nil {
				t.Fatal(err)
			}
			l.low, l.high = limits.Low, limits.High
			e := mustFit(t, p.class, tested...)
			l.share = shareOfTrials(t, e, c, by)
			l.tail = mustForecast(t, e, c.setup).Surprise(c.trials, by)
			l.scores[0] = scoreTrials(t, e, c, by)
			l.scores[1] = scoreTrials(t, mustFit(t, p.class), c, by)
			l.scores[2] = scoreNearest(c, tested, by)
			all = append(all, l)
		}
	}
	return all
}

// shareOfTrials is the forecast share by a time of trials made with different
// pulls: the mean of theirs. All rise with the one margin, so that its limits are
// their mean at the margin's limits.
func shareOfTrials(t testing.TB, e *Estimate, c demoCombination, by Seconds) Share {
	s := Share{By: by}
	f := mustForecast(t, e, c.setup)
	m := f.margin(by)
	low, high := m.quantile(tailOfShare), m.quantile(1-tailOfShare)
	for _, trial := range c.trials {
		p, _ := Draw{Pull: trial.Pull, Gas: f.setup.Gas}.Suction()
		shift := math.Log(float64(p)) - f.lnSuction
		s.Mean += shareAt(t, e, c.setup, trial.Pull, by) / float64(len(c.trials))
		s.Low += phi().at((low+shift)/m.test) / float64(len(c.trials))
		s.High += phi().at((high+shift)/m.test) / float64(len(c.trials))
	}
	return s
}

// shareAt is the mean share by a time at one pull.
func shareAt(t testing.TB, e *Estimate, s Setup, pull Volume, by Seconds) float64 {
	f, err := e.Forecast(s, pull)
	if err != nil {
		t.Fatal(err)
	}
	return f.mean(by)
}

// scoreTrials is the mean logarithm of the probability of what each trial showed by
// a time: 0 is perfect, −0.69 a coin.
func scoreTrials(t testing.TB, e *Estimate, c demoCombination, by Seconds) float64 {
	slip := slipShare * slipShownBy(by)
	var sum float64
	for _, trial := range c.trials {
		sum += scoreOne(trial, (1-slipShare)*shareAt(t, e, c.setup, trial.Pull, by)+slip, by)
	}
	return sum / float64(len(c.trials))
}

func scoreOne(t Trial, share float64, by Seconds) float64 {
	if shown, _ := shownBy([]Trial{t}, by); shown == 1 {
		return math.Log(share)
	}
	return math.Log(1 - share)
}

// scoreNearest scores the counts of the tested combination nearest by bore over
// length, half a test of each kind added; a coin where there is none.
func scoreNearest(c demoCombination, tested []TestedSetup, by Seconds) float64 {
	share := 0.5
	if len(tested) > 0 {
		far := func(o TestedSetup) float64 {
			return math.Abs(o.Setup.Tube.lnAspect() - c.setup.Tube.lnAspect())
		}
		nearest := slices.MinFunc(tested, func(a, b TestedSetup) int { return cmp.Compare(far(a), far(b)) })
		shown, n := shownBy(nearest.Trials, by)
		share = (float64(shown) + 0.5) / (float64(n) + 1)
	}
	var sum float64
	for _, trial := range c.trials {
		sum += scoreOne(trial, share, by)
	}
	return sum / float64(len(c.trials))
}

// leastAgreeing is the part of the combinations in which the interval must hold a
// share that the left-out counts agree with.
const leastAgreeing = 0.7

func TestLeavingOutEachCombinationOfTheDemoLog(t *testing.T) {
	all := leaveOut(t, readDemo(t), 10)
	agreeing, contained := 0, 0
	var scores [3]float64
	for _, l := range all {
		t.Logf("%-52s others %2d: %d of %d (%.2f–%.2f); said %.2f (%.2f–%.2f), tail %.3f; %.3f %.3f %.3f", l.name,
			l.others, l.shown, l.n, l.low, l.high,
			l.share.Mean, l.share.Low, l.share.High, l.tail, l.scores[0], l.scores[1], l.scores[2])
		if l.agrees() {
			agreeing++
		}
		if l.contains() {
			contained++
		}
		for i, s := range l.scores {
			scores[i] += s / float64(len(all))
		}
	}
	t.Logf("%d of %d agree, %d contain; mean log scores %.4f", agreeing, len(all), contained, scores)
	if float64(agreeing) < leastAgreeing*float64(len(all)) {
		t.Errorf("the interval agrees with the counts in %d of %d combinations", agreeing, len(all))
	}
	for i := 1; i < len(scores); i++ {
		if scores[0] <= scores[i] {
			t.Errorf("mean log score %.4f, %s %.4f", scores[0], predictors[i], scores[i])
		}
	}
}
