package commands

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"holdbench/internal/knowledge"
)

// mostTesters is how many testers a card names one by one.
const mostTesters = 5

// testersSure is knowledge.TesterConfidence in words.
const testersSure = "99 in 100"

// whyTestersDiffer goes with every comparison of testers.
const whyTestersDiffer = "The hand, the pull or the eye for the first liquid may be why, theirs or the others': " +
	"look at films together. No test counts less for it. Of testers who work alike, 1 to 4 in 100 differ by chance."

// testerFacts says whose times differ from the others' on the same combinations, by how much and how sure that is, those
// who differ most first. It does not say who is right: the times cannot show that.
func testerFacts(testers []knowledge.TesterStanding) []Fact {
	compared := slices.DeleteFunc(slices.Clone(testers), func(t knowledge.TesterStanding) bool { return t.Ratio == 0 })
	if len(compared) == 0 {
		return []Fact{{"Testers", "cannot be compared yet: that takes repeats, and two who tested the same combination."}}
	}
	differ := slices.DeleteFunc(slices.Clone(compared), func(t knowledge.TesterStanding) bool { return !t.Differs })
	if len(differ) == 0 {
		return []Fact{{"Testers", fmt.Sprintf("of %d compared, none differs clearly from the others.", len(compared))}}
	}
	slices.SortStableFunc(differ, func(a, b knowledge.TesterStanding) int {
		return cmp.Compare(math.Abs(math.Log(b.Ratio)), math.Abs(math.Log(a.Ratio)))
	})
	var facts []Fact
	for _, t := range differ[:min(len(differ), mostTesters)] {
		facts = append(facts, Fact{t.Member.Name, standingWords(t)})
	}
	if more := len(differ) - mostTesters; more > 0 {
		facts = append(facts, Fact{"", fmt.Sprintf("and %d more testers who differ", more)})
	}
	return append(facts, Fact{"", whyTestersDiffer})
}

// standingWords is how one tester's times compare: "times about 40 % shorter than the others' on the same combinations
// (7 tests)".
func standingWords(t knowledge.TesterStanding) string {
	return fmt.Sprintf("times %s than the others' on the same combinations (%s)", timesBeside(t.Ratio),
		count(t.Tests, "test"))
}

// timesBeside says a ratio of times as people say it, to 5 %: "about 40 % shorter".
func timesBeside(ratio float64) string {
	way := "longer"
	if ratio < 1 {
		way = "shorter"
	}
	return fmt.Sprintf("about %d %% %s", max(5, 5*int(math.Round(20*math.Abs(ratio-1)))), way)
}

// ratioWords is a ratio to two significant digits, never rounded to 1.
func ratioWords(r float64) string {
	digits := 0.1
	if r < 1 || math.Round(r*10) == 10 {
		digits = 0.01
	}
	return trimNumber(math.Round(math.Round(r/digits)*digits*100) / 100)
}
