package commands

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"holdbench/internal/chart"
	"holdbench/internal/knowledge"
)

const (
	testersName = "group testers"
	namesOption = "names"
)

// How a tester is called whose name is not shown, and oneself.
const (
	someMember = "a member"
	oneself    = "you"
)

var testersCommand = &Command{
	Name:    testersName,
	Summary: "The testers side by side, as a picture: whose times are longer or shorter, and how sure that is",
	Help: "Each tester's times against the others' on the same combinations, with limits. You see your own; the " +
		"others have no names. The trainer sees the names, or none with names:no, for a class.",
	Options: []Option{
		{Name: namesOption, Help: "no leaves out all names, yours too; yes is for the trainer", Kind: YesNo},
		pageNumber(),
		backgroundChoice(),
	},
	Who:      anyMember,
	Examples: []string{"/group testers", "/group testers names:no"},
	Run:      runTesters,
}

func runTesters(ctx context.Context, env *Env, call *Call) (Card, error) {
	trainer := call.Asker.Role.Covers(knowledge.TrainerRole)
	if call.yes(namesOption) && !trainer {
		return Card{}, refuse("/"+testersName+" shows you your own times among theirs.",
			"The names of those who differ are for the trainer.")
	}
	standings, err := env.Group.Testers(ctx)
	if err != nil {
		return Card{}, err
	}
	named := func(m knowledge.Member) string {
		switch {
		case call.value(namesOption) == "no":
			return someMember
		case trainer:
			return m.Name
		case m.Ref == call.Asker.Ref:
			return oneself
		}
		return someMember
	}
	return testersCard(call.settings.Name, standings, named, call)
}

// testersCard is the picture of the testers who can be compared, with the same in words. named gives a member's name in
// it.
func testersCard(group string, standings []knowledge.TesterStanding, named func(knowledge.Member) string,
	call *Call) (Card, error) {
	c := Card{Title: "Testers compared"}
	shown := slices.DeleteFunc(slices.Clone(standings), func(t knowledge.TesterStanding) bool { return t.Tests == 0 })
	if len(shown) == 0 {
		c.line("Nobody can be compared yet: it takes two who tested one combination.")
		return c, nil
	}
	picture := chart.TesterComparison{Group: group, Confidence: knowledge.TesterConfidence, Dark: call.onDark()}
	for _, t := range shown {
		picture.Testers = append(picture.Testers, chart.Tester{
			Name: named(t.Member), Tests: t.Tests, Ratio: t.Ratio, Low: t.Low, High: t.High, Differs: t.Differs,
		})
	}
	page, err := call.page(picture.Pages())
	if err != nil {
		return Card{}, err
	}
	p, err := picture.Draw(page)
	if err != nil {
		return Card{}, fmt.Errorf("picture of the testers: %w", err)
	}
	c.Picture = call.drawn(p, page)
	c.Verdict = picture.Findings()
	if of := picture.Pages(); of > 1 {
		c.fact(fmt.Sprintf("Page %d of %d", page, of), "of %s, the shortest times first", count(len(shown), "tester"))
	}
	for _, t := range picture.OnPage(page) {
		c.fact(t.Name, "%s", comparedTester(t))
	}
	if absent := len(standings) - len(shown); absent > 0 {
		c.line("Left out: %s who tested nothing that others tested.", count(absent, "member"))
	}
	c.line("%s", whyTestersDiffer)
	c.Actions = append(call.turning(page, picture.Pages()), call.withoutAsker().otherPaper())
	return c, nil
}

// comparedTester is one row of the picture in words.
func comparedTester(t chart.Tester) string {
	if t.Ratio == 0 {
		return count(t.Tests, "test") + ", too few to compare"
	}
	words := timesBeside(t.Ratio) + " (" + count(t.Tests, "test") + ")"
	if t.Differs {
		words += "; clearly"
	}
	return words
}

// mostTesters is how many testers a card names one by one.
const mostTesters = 5

// testersSure is knowledge.TesterConfidence in words.
const testersSure = "99 in 100"

// whyTestersDiffer goes with every comparison of testers.
const whyTestersDiffer = "The hand, the pull or the eye for the first liquid may be why, theirs or the others': " +
	"look at films together. No test counts less for it. Of testers who work alike, 1 to 4 in 100 differ by chance."

// testerFacts says whose times differ from the others' on the same combinations, by how much and how sure that is,
// those who differ most first. It does not say who is right: the times cannot show that.
func testerFacts(testers []knowledge.TesterStanding) []Fact {
	compared := slices.DeleteFunc(slices.Clone(testers), func(t knowledge.TesterStanding) bool { return t.Ratio == 0 })
	if len(compared) == 0 {
		return []Fact{{"Testers", "cannot be compared yet: it takes repeats, and two who tested one combination."}}
	}
	differ := slices.DeleteFunc(slices.Clone(compared), func(t knowledge.TesterStanding) bool { return !t.Differs })
	if len(differ) == 0 {
		return []Fact{{"Testers", differWords(strconv.Itoa(len(compared)), 0) + "."}}
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

// differWords says how many of some that were compared differ: "of 9 compared, 2 differ clearly from the others".
func differWords(compared string, differ int) string {
	if differ == 0 {
		return "of " + compared + " compared, none differs clearly from the others"
	}
	return fmt.Sprintf("of %s compared, %d %s clearly from the others", compared, differ,
		oneOrMore(differ, "differs", "differ"))
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
