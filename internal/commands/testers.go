package commands

import (
	"context"
	"fmt"
	"slices"

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
		c.line("Nobody can be compared yet: that takes two who tested the same combination.")
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
	c.Actions = append(call.turning(page, picture.Pages()), call.anew().otherPaper())
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
