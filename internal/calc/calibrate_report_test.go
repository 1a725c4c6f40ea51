package calc

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
)

// report is docs/calibration.md in the making.
type report struct{ text bytes.Buffer }

func (r *report) line(format string, args ...any) { fmt.Fprintf(&r.text, format+"\n", args...) }

// ranks draws from the model and ranks the truth.
func (r *report) ranks(t *testing.T) {
	tables := (len(GelClasses()) + 1) * len(ranked)
	r.line(`# Calibration

Made by

    make calibrate

which is `+"`go test ./internal/calc -run '^TestCalibration$' -calibrate -timeout 60m`"+`. The seeds are fixed: the same program
writes the same page. Words and formulas are in [method.md](method.md).

## 1. Is the truth where the estimate says?

Simulation-based calibration (Talts et al. 2018, arXiv:1804.06788): a product is drawn from its class, one to four of the trade's
set-ups with one to six tests each from the model, the tests are fitted, and the truth is ranked in the estimate. Three hands make the tests,
each with one number on a set-up; one set-up in twenty is odd; shares are those of another syringe. If the
computation is right the ranks are uniform. %d draws for each class, %d equal parts, chi-square test; p has to be above %g.

One rule bends: of %d p-values some will be below %g though nothing is wrong (%.1f are expected). Such a table is
drawn again, twice as long (%d draws a class, other seeds), and fails if p is below %g again. Both p are given below.
A computation that is right then fails a table once in 10 000 times instead of once in 100; one that is wrong gains
nothing, because the second draw is more exact. The rule misses only an error so small that %d draws show it by chance alone.
`, drawsPerClass, rankParts, leastUniform, tables, leastUniform, float64(tables)*leastUniform, drawnAgain, leastUniform, drawsPerClass)
	r.line("| p of uniform ranks | %s |", strings.Join(ranked[:], " | "))
	r.line("|---|%s", strings.Repeat("---:|", len(ranked)))
	var all places
	var again []string
	drawn := make([]places, len(GelClasses()))
	var wait sync.WaitGroup
	for k, class := range GelClasses() {
		wait.Go(func() { drawn[k] = rankDraws(t, newWorld(uint64(1000+k)), class, drawsPerClass) })
	}
	wait.Wait()
	for k, class := range GelClasses() {
		got := drawn[k]
		all.add(got)
		again = append(again, r.rankRow(t, string(class), got, func() places {
			return rankDraws(t, newWorld(uint64(5000+k)), class, drawnAgain)
		})...)
	}
	again = append(again, r.rankRow(t, "all together", all, func() places { return secondDraws(t) })...)
	r.line("\nThe counts of all classes together, in %d parts of which each should hold %d:\n", rankParts,
		len(all[0])/rankParts)
	for i, name := range ranked {
		counts, _ := uniform(all[i], rankParts)
		r.line("    %-34s %s", name, strings.Trim(fmt.Sprint(counts), "[]"))
	}
	r.line("\n![Six histograms with 20 bars each, where the truth lay in the estimate, all classes together: the " +
		"bars should be alike, and 99 of 100 lie between the dashed lines if they are](calibration-ranks.png)")
	savePicture(t, "calibration-ranks.png", rankPicture(t, all))
	r.line("\nDrawn again: %s.", orNone(again))
}

// rankRow writes one row of p-values, drawing again where one is too small.
func (r *report) rankRow(t *testing.T, name string, got places, redraw func() places) (again []string) {
	row := "| " + name
	var second *places
	for i := range ranked {
		_, p := uniform(got[i], rankParts)
		row += fmt.Sprintf(" | %.3f", p)
		if p >= leastUniform {
			continue
		}
		if second == nil {
			s := redraw()
			second = &s
		}
		_, p2 := uniform(second[i], rankParts)
		tables := float64((len(GelClasses()) + 1) * len(ranked))
		again = append(again, fmt.Sprintf("%s, %s: p %.4f, then %.3f (one as low as the first among %.0f tables: "+
			"%.0f times in 100 by chance)",
			name, ranked[i], p, p2, tables, 100*(1-math.Pow(1-p, tables))))
		if p2 < leastUniform {
			t.Errorf("%s, %s: p %.4f, drawn again %.4f", name, ranked[i], p, p2)
		}
	}
	r.line("%s |", row)
	return again
}

func secondDraws(t *testing.T) places {
	var all places
	for k, class := range GelClasses() {
		all.add(rankDraws(t, newWorld(uint64(6000+k)), class, drawnAgain))
	}
	return all
}

func orNone(words []string) string {
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, "; ")
}

// demo leaves out each combination of the demo log in turn.
func (r *report) demo(t *testing.T) {
	r.line(`
## 2. Is it right about combinations it has not seen?

Each tested combination of the demo log in turn is left out, and its share by 10 s predicted from the product's other tests.
"Said" is for the pulls of the tests left out, with 80 %% limits; "counted" with exact 80 %% limits (Clopper, Pearson). The two agree
if the limits overlap. "Odds" is the predictive probability of so few or so many.

| left out | other tests | said | counted | agree | odds |
|---|---:|---:|---:|---|---:|`)
	all := leaveOut(t, readDemo(t), 10)
	var agreeing, contained, low int
	var scores [3]float64
	for _, l := range all {
		word := "yes"
		if !l.agrees() {
			word = "**no**"
		} else {
			agreeing++
		}
		if l.contains() {
			contained++
		}
		if l.tail < 0.1 {
			low++
		}
		r.line("| %s | %d | %.2f (%.2f–%.2f) | %d of %d (%.2f–%.2f) | %s | %.3f |", l.name, l.others,
			l.share.Mean, l.share.Low, l.share.High, l.shown, l.n, l.low, l.high, word, l.tail)
		for i, s := range l.scores {
			scores[i] += s / float64(len(all))
		}
	}
	r.line("\n![A row for each combination left out, a bar for the share said without its tests and a line for the " +
		"share counted, with 80 %% limits; where they have nothing in common the line carries an open " +
		"square](calibration-left-out.png)")
	savePicture(t, "calibration-left-out.png", leftOutPicture(t, all))
	r.line("\nThe limits agree with the counts in %d of %d combinations (%.0f %%; at least %.0f %% demanded). By "+
		"a stricter measure they hold the counted share",
		agreeing, len(all), 100*float64(agreeing)/float64(len(all)), 100*leastAgreeing)
	r.line("itself, which of few tests is often 0 or 1, in %d; and the odds are below 0.1 in %d, where about a fifth "+
		"or fewer would be.\n", contained, low)
	r.line("| mean log score of shown or not by 10 s (0 is perfect, −0.69 a coin) | |\n|---|---:|")
	for i, name := range predictors {
		r.line("| %s | %.4f |", name, scores[i])
		if i > 0 && scores[0] <= scores[i] {
			t.Errorf("mean log score %.4f, %s %.4f", scores[0], name, scores[i])
		}
	}
	if float64(agreeing) < leastAgreeing*float64(len(all)) {
		t.Errorf("limits and counts agree in %d of %d", agreeing, len(all))
	}
}

// wrongs lets the model be wrong.
func (r *report) wrongs(t *testing.T) {
	r.line(`
## 3. What if the model is wrong?

%d products of all classes in each world, three set-ups of each tested five times by three testers in turn, a fourth not tested;
the answers are compared with the true share by 10 s of an honest test with another syringe. "A tester 30 %% fast": every third test is logged at 0.7 of
its time. "Bores 10 %% narrower" than recorded. "10 %% slips" where 2 %% are assumed. "One tester did it all": all tests of a product
share one hand. "Tests scatter twice as much": twice the default spread of testers
and rest, each of three testers with one hand; then the same log once its own spreads are learned, from %d of the products.
`, wrongProducts, learnedFrom)
	r.line("| share of answers | %s |", strings.Join(names(), " | "))
	r.line("|---|%s", strings.Repeat("---:|", len(wrongs)))
	all := make([]answers, len(wrongs))
	var wait sync.WaitGroup
	for i, w := range wrongs {
		wait.Go(func() { all[i] = tryWorld(t, w, wrongProducts) })
	}
	wait.Wait()
	checkLimits(t, all[0], 0.03)
	part := func(k, n int) string {
		if n == 0 {
			return "–"
		}
		return fmt.Sprintf("%.3f", float64(k)/float64(n))
	}
	row := func(name string, cell func(a answers) string) {
		line := "| " + name
		for _, a := range all {
			line += " | " + cell(a)
		}
		r.line("%s |", line)
	}
	row("tested: 80 % limits hold the truth", func(a answers) string { return part(a.tested.held, a.tested.asked) })
	row("untested: 80 % limits hold the truth", func(a answers) string { return part(a.untested.held, a.untested.asked) })
	row("tested: share said minus true share, mean", func(a answers) string { return fmt.Sprintf("%+.3f", a.tested.bias/float64(a.tested.asked)) })
	row("untested: share said minus true share, mean", func(a answers) string { return fmt.Sprintf("%+.3f", a.untested.bias/float64(a.untested.asked)) })
	row("tested: verdict *shows in time*", func(a answers) string { return part(a.tested.inTime, a.tested.asked) })
	row("… of them, fewer than 8 in 10 show in truth", func(a answers) string { return part(a.tested.notInTime, a.tested.inTime) })
	row("tested: *too slow* or *not expected*", func(a answers) string { return part(a.tested.hopeless, a.tested.asked) })
	row("… of them, more than 2 in 10 show in truth", func(a answers) string { return part(a.tested.notThatBad, a.tested.hopeless) })
	row("tested: *not settled*", func(a answers) string { return part(a.tested.notSettled, a.tested.asked) })
	row("hold by the mean share alone: true share by it, mean",
		func(a answers) string { return fmt.Sprintf("%.3f", a.heldShare/float64(a.holds)) })
	row("… fewer than 8 in 10 show by it", func(a answers) string { return part(a.poorHolds, a.holds) })
	row("the answer says that tests and estimate disagree", func(a answers) string { return part(a.alarms, a.tested.asked) })
	row("slips that are flagged", func(a answers) string { return part(a.flagged, a.slips) })
	row("honest tests that are flagged", func(a answers) string { return part(a.accused, a.honest) })
	for i, a := range all {
		if wrongs[i].learn {
			r.line("\nLearned: combinations %.3f, testers %.3f, rest %.3f; in truth %.2f, 0.16 and 0.24.",
				a.learned.Combination, a.learned.Tester, a.learned.Rest, DefaultSpread().Combination)
		}
	}
	r.line("\n![For each world, how many of 100 limits hold the truth, against the 80 that should, and how many of " +
		"100 holds are too short: most when tests scatter twice as much as assumed](calibration-worlds.png)")
	savePicture(t, "calibration-worlds.png", worldsPicture(t, names(), all))
	r.breakages(all)
	r.answersThen(all)
}

func names() []string {
	var all []string
	for _, w := range wrongs {
		all = append(all, w.name)
	}
	return all
}

// breakages says in words what the figures show.
func (r *report) breakages(all []answers) {
	r.line("\nWhat goes wrong, compared with the world as assumed:\n")
	for i, a := range all[1:] {
		base := all[0]
		var words []string
		for _, kind := range []struct {
			name      string
			now, then fared
		}{{"tested", a.tested, base.tested}, {"untested", a.untested, base.untested}} {
			held := float64(kind.now.held) / float64(kind.now.asked)
			noise := 3 * math.Sqrt(2*0.8*0.2/float64(kind.now.asked)) // three standard errors of the difference
			word := "as good as"
			switch before := float64(kind.then.held) / float64(kind.then.asked); {
			case held < before-noise:
				word = "narrower than"
			case held > before+noise:
				word = "wider than"
			}
			words = append(words, fmt.Sprintf("limits of %s set-ups are %s they should be (%.0f in 100 hold)",
				kind.name, word, 100*held))
		}
		poor, before := float64(a.poorHolds)/float64(a.holds), float64(base.poorHolds)/float64(base.holds)
		words = append(words, fmt.Sprintf("of 100 verdicts *shows in time* %.1f are wrong (%.1f as assumed)",
			100*float64(a.tested.notInTime)/float64(a.tested.inTime),
			100*float64(base.tested.notInTime)/float64(base.tested.inTime)))
		words = append(words, fmt.Sprintf("of 100 holds by the mean share alone %.1f are too short for 8 in 10 (%.1f "+
			"as assumed)", 100*poor, 100*before))
		words = append(words, fmt.Sprintf("the answer says that tests and estimate disagree in %.1f of 100",
			100*float64(a.alarms)/float64(a.tested.asked)))
		r.line("- **%s**: %s.", wrongs[i+1].name, strings.Join(words, "; "))
	}
}

// answersThen says what a member is told in each world.
func (r *report) answersThen(all []answers) {
	r.line("\nWhat the answers then say:\n")
	for i, a := range all[1:] {
		of := func(k int) float64 { return 100 * float64(k) / float64(a.tested.asked) }
		words := fmt.Sprintf("of 100 tested set-ups %.0f *show in time*, %.0f are *too slow* or *not expected*, %.0f "+
			"*not settled* (%.0f, %.0f and %.0f as assumed); %.1f carry the line that tests and estimate disagree "+
			"(%.1f)",
			of(a.tested.inTime), of(a.tested.hopeless), of(a.tested.notSettled), of(all[0].tested.inTime),
			of(all[0].tested.hopeless), of(all[0].tested.notSettled),
			of(a.alarms), 100*float64(all[0].alarms)/float64(all[0].tested.asked))
		words += fmt.Sprintf("; of 100 tests that are no slips %.1f are flagged as one",
			100*float64(a.accused)/float64(max(a.honest, 1)))
		r.line("- **%s**: %s.%s", wrongs[i+1].name, words, wrongs[i+1].told)
	}
}

// spreads learns the spreads of simulated logs.
func (r *report) spreads(t *testing.T) {
	const logs, products = 8, 40
	r.line(`
## 5. Are the spreads learned the right ones?

%d logs of %d products, three set-ups of each tested six times by two or three of twelve testers, each log with spreads of its own,
drawn between 0.6 and 1.7 times the defaults; then learned from the log.

| spread | learned over true, mean | 95 %% limits hold the truth |
|---|---:|---:|`, logs, products)
	var ratio, held [3]float64
	for i := range logs {
		w := newWorld(uint64(7000 + i))
		x := DefaultSpread().ln()
		for a := range x {
			x[a] += math.Log(0.6) + w.rng.Float64()*math.Log(1.7/0.6)
		}
		w.spread = x.spread()
		got, err := LearnSpread(drawLog(w, products, 3, 6))
		if err != nil {
			t.Fatal(err)
		}
		for a, s := range []Statistic{got.Combination, got.Tester, got.Rest} {
			ratio[a] += (math.Log(s.Value) - x[a]) / logs
			if truth := math.Exp(x[a]); truth >= s.Low && truth <= s.High {
				held[a]++
			}
		}
	}
	for a, name := range []string{"combinations", "testers", "the rest"} {
		r.line("| %s | %.2f | %.0f of %d |", name, math.Exp(ratio[a]), held[a], logs)
	}
	if all := held[0] + held[1] + held[2]; all < 0.85*3*logs {
		t.Errorf("95 %% limits hold %g of %d spreads", all, 3*logs)
	}
}

// learned says what the demo log says of its own spread.
func (r *report) learned(t *testing.T) {
	r.line("\n## 6. The demo log's own spread\n")
	got, err := LearnSpread(demoLogs(readDemo(t)))
	var few *FewRepeatsError
	switch {
	case errors.As(err, &few):
		r.line("Not learned: %v.", few)
	case err != nil:
		t.Fatal(err)
	default:
		d := DefaultSpread()
		r.line("From %d tests, %d repeats by the same tester in %d combinations, %d testers; 95 %% limits. The log "+
			"is e^%.1f times likelier than with the defaults.\n",
			got.Rest.N, got.Repeats, got.RepeatedCombinations, got.Testers, got.Gain)
		r.line("| spread of ln suction | default | learned |\n|---|---:|---:|")
		for _, s := range []struct {
			name     string
			standard float64
			found    Statistic
		}{{"combinations", d.Combination, got.Combination}, {"testers", d.Tester, got.Tester},
			{"the rest", d.Rest, got.Rest}} {
			r.line("| %s | %.2f | %.3f (%.3f–%.3f) |", s.name, s.standard, s.found.Value, s.found.Low, s.found.High)
		}
		for _, w := range got.Warnings {
			r.line("\n%s", w)
		}
	}
}

// demoLogs is the demo log as LearnSpread takes it.
func demoLogs(products []demoProduct) []ProductLog {
	var logs []ProductLog
	for _, p := range products {
		log := ProductLog{Class: p.class, Tested: p.others(-1)}
		logs = append(logs, log)
	}
	return logs
}
