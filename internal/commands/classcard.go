package commands

import (
	"context"
	"fmt"

	"holdbench/internal/chart"
	"holdbench/internal/knowledge"
)

// classShown is a class as everybody sees it: only a count while it is open, because somebody who knows the others'
// times measures with them in mind; what it found once it is over.
func classShown(ctx context.Context, env *Env, call *Call, class knowledge.Class) (Card, error) {
	if class.Open {
		return openClassCard(class, call.view), nil
	}
	report, err := env.Group.ClassSpread(ctx, class.ID)
	if err != nil {
		return Card{}, err
	}
	return ClassFound(report, call.settings.Name)
}

func openClassCard(class knowledge.Class, v view) Card {
	c := Card{Title: "Class: " + class.Combination.String()}
	made := "No test yet."
	if class.Tests > 0 {
		made = testsBy(class.Tests, class.Testers) + " so far."
	}
	c.Verdict = made + " Open until " + class.ClosesAt.In(v.now.Location()).Format("15:04") + "."
	c.fact("Set-up", "pull %s mL, %s at %s °C, watched %s for none", trimNumber(class.PullML), class.Liquid,
		trimNumber(class.LiquidC), exactSeconds(float64(knowledge.WatchSeconds(v.settings.Ceiling))))
	c.line("Everybody tests this, more than once if there is gel. The end shows what was found, without names.")
	end := classRequest(class)
	end.Command, end.Values[endOption] = className, "yes"
	c.Actions = []Action{{Label: "log my test", Request: *classRequest(class), Tap: true},
		{Label: "end the class (trainer)", Request: *end, Tap: true}}
	return c
}

// ClassFound shows what a class found, without names; group is the name of the group.
func ClassFound(r knowledge.ClassReport, group string) (Card, error) {
	c := Card{Title: "Class over: " + r.Combination.String()}
	if len(r.Made) == 0 {
		c.Verdict = "Nobody logged a test in it."
		return c, nil
	}
	made, err := knowledge.ListOf(r.Made...)
	if err != nil {
		return Card{}, err
	}
	c.Verdict = testsBy(made.Len(), r.Testers) + ": " + timesTested(made.Times()) + "."
	if r.Measured == nil {
		c.line("Nobody repeated a test that showed, so nobody knows how far apart one hand's own tests are.")
	} else {
		measuredFacts(&c, knowledge.SpreadReport{Measured: r.Measured})
	}
	if len(r.Hands) == 0 {
		return c, nil
	}
	picture := chart.TesterComparison{Group: group, Confidence: knowledge.TesterConfidence}
	for _, h := range r.Hands {
		picture.Testers = append(picture.Testers, chart.Tester{Name: someMember, Tests: h.Tests, Ratio: h.Ratio,
			Low: h.Low, High: h.High})
	}
	p, err := picture.Draw(1)
	if err != nil {
		return Card{}, fmt.Errorf("picture of a class: %w", err)
	}
	c.Picture = &Picture{Name: "class.png", Alt: p.Alt, PNG: p.PNG}
	c.line("Each line of the picture is one member's times against the others', with limits from the group's own " +
		"repeats.")
	if picture.Pages() > 1 {
		c.line("It has the first %d of %d members, the shortest times first.", len(picture.OnPage(1)), len(r.Hands))
	}
	return c, nil
}
