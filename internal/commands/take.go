package commands

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"holdbench/internal/knowledge"
)

const (
	takeName = "totest take"
	byOption = "by"
)

var takeCommand = &Command{
	Name:    takeName,
	Summary: "Say that you will test a combination, and by when; with nothing, who tests what",
	Help: "One member at a time takes a combination on. Without a day it is a week. You are reminded once; " +
		"it is free again when the day is over, when you give it up, or when anybody logs a test of it.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 31G 8 mm",
	Options: combinationOptions(
		Option{Name: byOption, Help: "the day, as in friday, in 2 weeks or 2026-05-14", Suggest: suggestComingDay},
		ofWeek(),
	),
	Who:      anyMember,
	Bearing:  Bearing{Bench: true},
	Examples: []string{"/totest take orrick mid 31G 8 mm by friday", "/totest take"},
	Plain:    dayInWords,
	Run:      runTake,
}

func runTake(ctx context.Context, env *Env, call *Call) (Card, error) {
	week := call.value(weekOption)
	if questionText(call) == "" {
		if week != "" {
			return promptAgain(ctx, env, call, week)
		}
		return claimsCard(ctx, env, call)
	}
	a, err := readQuestion(env, call)
	if err != nil {
		return Card{}, err
	}
	m, err := call.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	due, err := comingDay(call.value(byOption), call.now)
	if err != nil {
		return Card{}, err
	}
	claim, err := env.Group.TakeOn(ctx, m, a.combination, due)
	var taken *knowledge.TakenError
	if errors.As(err, &taken) {
		return Card{}, refuse("/"+untestedName+" lists what is free.", "%s has taken it on until %s.",
			taken.Claim.Member.Name, taken.Claim.DueOn)
	}
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: claim.Combination.String(), Verdict: "Yours to test until " + claim.DueOn + "."}
	c.Stored = Stored{What: "claim on " + claim.Combination.String(), How: "was stored: it stands until " + claim.DueOn,
		At: call.now}
	c.Source = promptRequest(week)
	c.line("You are reminded once. After that day, or when a test of it is logged, it is free for others.")
	c.Actions = []Action{
		{Label: "log a test of it", Request: about(logName, claim.Combination), Tap: true},
		{Label: "give it up", Request: about(giveUpName, claim.Combination)},
	}
	return c, nil
}

// claimsCard lists who is testing what.
func claimsCard(ctx context.Context, env *Env, call *Call) (Card, error) {
	claims, err := standingClaims(ctx, env, call.today())
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "Who is testing what"}
	var rows []Fact
	for _, claim := range claims {
		rows = append(rows, Fact{stockWords(claim.Combination), claim.Member.Name + ", until " + claim.DueOn})
	}
	if len(claims) == 0 {
		c.Verdict = "Nobody has taken anything on."
	}
	done, err := credits(ctx, env, call.now)
	if err != nil {
		return Card{}, err
	}
	c.Actions = []Action{way("what is worth a test", untestedName)}
	_, err = call.paged(&c, append(rows, done...))
	return c, err
}

// How long a closed test is credited, and how many are at once (the project's choice).
const (
	creditDays  = 28
	mostCredits = 5
)

// credits says who closed which lately, the latest first.
func credits(ctx context.Context, env *Env, today time.Time) (rows []Fact, err error) {
	closed, err := env.Group.Closed(ctx, today.AddDate(0, 0, -creditDays).Format(dateForm))
	if err != nil {
		return nil, err
	}
	for i := len(closed) - 1; i >= max(0, len(closed)-mostCredits); i-- {
		done := closed[i].Test
		rows = append(rows, Fact{"Done", fmt.Sprintf("%s, by %s: test %d, %s", stockWords(done.Combination),
			done.Tester.Name, done.ID, resultWords(done))})
	}
	return rows, nil
}

// standingClaims are the claims whose day has not passed.
func standingClaims(ctx context.Context, env *Env, today string) ([]knowledge.Claim, error) {
	claims, err := env.Group.Claims(ctx)
	return slices.DeleteFunc(claims, func(c knowledge.Claim) bool { return c.DueOn < today }), err
}
