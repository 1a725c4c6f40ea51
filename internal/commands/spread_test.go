package commands

import (
	"math"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// A spread of 0.2 in ln time keeps two tests within exp(1.645 √2 × 0.2) = 1.59 times of
// each other 9 times in 10 (by hand).
func TestSpreadInWords(t *testing.T) {
	stat := func(value, low, high float64) calc.Statistic {
		return calc.Statistic{Value: value, Low: low, High: high}
	}
	measured := &calc.RepeatSpread{Repeatability: stat(0.2, 0.15, 0.3), Reproducibility: stat(0.4, 0.3, 0.6),
		Repeats: 31, RepeatedCombinations: 12, None: 4, AtOnce: 1}
	own := knowledge.GroupSpread{Version: 3, Own: true, MadeAt: time.Date(2026, 11, 20, 23, 30, 0, 0, time.UTC),
		Learned: calc.LearnedSpread{
			Combination: stat(0.13, 0.1, 0.17), Tester: stat(0.08, 0.05, 0.12), Rest: stat(0.14, 0.12, 0.163),
			Repeats:              40,
			RepeatedCombinations: 20, Testers: 7, Warnings: []string{"A remark."},
		}}
	back := knowledge.GroupSpread{Version: 4, MadeAt: own.MadeAt}
	east := time.FixedZone("east", 3600)
	for name, c := range map[string]struct {
		report knowledge.SpreadReport
		want   []string
	}{
		"own": {knowledge.SpreadReport{InForce: own, Repeats: 41, RepeatedCombinations: 20, Measured: measured,
			Slips: 2}, []string{
			"Answers use your group's own spread: version 3, learned 2026-11-21 from 40 repeats in 20 " +
				"combinations by 7 testers.",
			"The same tester again: two tests lie within 1.6 times of each other, 9 in 10 (range 1.4 to 2)",
			"Another tester: two tests lie within 2.5 times of each other, 9 in 10 (range 2 to 4)",
			"repeatability 0.20 (0.15 to 0.30), reproducibility 0.40 (0.30 to 0.60)",
			"Left out: 4 tests without flashback, 1 test shown at once, 2 tests that look mistyped or do not fit the " +
				"others",
			"13 in 100 (10 to 17; default 15) from one combination to the next, 8 in 100 (5 to 12; default 8) from " +
				"hand to hand, 14 in 100 (12 to 16; default 12) for the rest",
			"! A remark.", "source: spread between tests from your group's own 40 repeats"}},
		"one repeat": {knowledge.SpreadReport{Repeats: 1, RepeatedCombinations: 1, Measured: &calc.RepeatSpread{
			Repeatability: stat(0.2, 0.1, 6), Reproducibility: stat(0.2, 0.1, math.Inf(1)), Repeats: 1,
			RepeatedCombinations: 1}}, []string{
			"Answers use the defaults: so far 1 repeat in 1 combination, and it takes 30 in 8.",
			"Another tester: two tests lie within 1.6 times of each other, 9 in 10 (1.3 or more)",
			"No combination was tested by two testers with one pull", "reproducibility 0.20 (0.10 or more)",
			"15 in 100 from one combination to the next"}},
		"none": {knowledge.SpreadReport{}, []string{"Answers use the defaults: so far 0 repeats in 0 " +
			"combinations", "Nobody has repeated a test"}},
		"not yet": {knowledge.SpreadReport{Repeats: 42, RepeatedCombinations: 21},
			[]string{"there are enough repeats (42 in 21 combinations)"}},
		"back": {knowledge.SpreadReport{InForce: back, Repeats: 20, RepeatedCombinations: 9},
			[]string{"Answers use the defaults again, version 4 since 2026-11-21: now 20 repeats in 9 " +
				"combinations, and it takes 30 in 8."}},
	} {
		text := strings.Join(strings.Fields(spreadCard(c.report, east).Text()), " ")
		for _, part := range c.want {
			if !strings.Contains(text, part) {
				t.Errorf("%s: %q is not in\n%s", name, part, text)
			}
		}
	}
}

// Members read of themselves and how many differ; names are the trainer's.
func TestWhoSeesWhichTester(t *testing.T) {
	standing := func(ref string, ratio, low, high float64, differs bool) knowledge.TesterStanding {
		return knowledge.TesterStanding{Member: knowledge.Member{Ref: ref, Name: ref}, Tests: 9, Combinations: 4,
			Ratio: ratio, Low: low, High: high, Differs: differs}
	}
	testers := []knowledge.TesterStanding{standing("quayside", 1.1, 0.8, 1.5, false),
		standing("lantern", 0.58, 0.37, 0.92, true), standing("osier", 0, 0, 0, false)}
	said := func(asker Asker) string {
		var lines []string
		for _, f := range testersSeenBy(asker, testers) {
			lines = append(lines, f.Label+": "+f.Text)
		}
		return strings.Join(lines, "\n")
	}
	member := said(askingMember)
	if strings.Contains(member, "lantern") {
		t.Errorf("a member reads of another:\n%s", member)
	}
	wants(t, member, "Testers: of 2 compared, 1 differs clearly", "You: times about 1.1 of the others', no clear "+
		"difference")
	wants(t, said(askingTrainer), "lantern: times about 40 % shorter than the others'")
	wants(t, said(Asker{Ref: "osier", Role: knowledge.MemberRole}), "You: cannot be compared yet")
	wants(t, said(Asker{Ref: "lantern", Role: knowledge.MemberRole}), "You: times about 40 % shorter than the "+
		"others' on the same combinations")
	testers = testers[2:]
	wants(t, said(askingMember), "cannot be compared yet")
}

// What is learned is told at once, from the same log.
func TestSpreadTellsOfWhatWasLearned(t *testing.T) {
	env := demoEnv(t)
	wants(t, says(t, env, askingMember, "/group spread").Verdict, "Answers use the defaults; there are enough "+
		"repeats (42 in 21")
	o, err := env.Group.LearnSpreadsNow(t.Context())
	if err != nil || !o.InForce.Own {
		t.Fatalf("%+v, %v", o, err)
	}
	card := says(t, env, askingMember, "/group spread")
	wants(t, card.Verdict, "Answers use your group's own spread: version 1, learned 2026-11-24 from 4")
	wants(t, card.Text(), "default 15)", "default 8)", "default 12)", "source: spread between tests from your "+
		"group's own 4")
}
