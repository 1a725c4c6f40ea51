package commands

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"holdbench/internal/knowledge"
)

func TestTestersAreToldFairly(t *testing.T) {
	if math.Abs(knowledge.TesterConfidence-0.99) > 1e-12 {
		t.Errorf("%s is said for %g", testersSure, knowledge.TesterConfidence)
	}
	standing := func(name string, ratio, low, high float64, differs bool) knowledge.TesterStanding {
		return knowledge.TesterStanding{Member: knowledge.Member{Name: name}, Tests: 9, Combinations: 4, Ratio: ratio,
			Low: low, High: high, Differs: differs}
	}
	alike, apart := standing("osier", 1.02, 0.8, 1.3, false), standing("quayside", 1.44, 1.04, 2.1, true)
	faster, unknown := standing("lantern", 0.58, 0.37, 0.916, true), standing("millbrook", 0, 0, 0, false)
	for _, c := range []struct {
		testers []knowledge.TesterStanding
		want    []string
	}{
		{nil, []string{"Testers: cannot be compared yet"}},
		{[]knowledge.TesterStanding{unknown}, []string{"Testers: cannot be compared yet"}},
		{[]knowledge.TesterStanding{unknown, alike}, []string{"Testers: of 1 compared, none differs clearly"}},
		{[]knowledge.TesterStanding{apart, alike, faster}, []string{
			"lantern: times about 40 % shorter than the others' on the same combinations (9 tests)",
			"quayside: times about 45 % longer than the others' on the same combinations (9 tests)",
			": The hand, the pull or the eye"}},
	} {
		facts := testerFacts(c.testers)
		if len(facts) != len(c.want) {
			t.Errorf("got %v, want %v", facts, c.want)
			continue
		}
		for i, f := range facts {
			if line := f.Label + ": " + f.Text; !strings.HasPrefix(line, c.want[i]) {
				t.Errorf("got %q, want %q", line, c.want[i])
			}
		}
	}
	var many []knowledge.TesterStanding
	for i := range 8 {
		many = append(many, standing(fmt.Sprint("tester ", i), 2, 1.5, 2.5, true))
	}
	if facts := testerFacts(many); len(facts) != mostTesters+2 ||
		facts[mostTesters].Text != "and 3 more testers who differ" {
		t.Errorf("got %v", facts)
	}
}
