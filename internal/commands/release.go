package commands

import (
	"context"
	"slices"

	"holdbench/internal/knowledge"
)

const giveUpName = "totest release"

var giveUpCommand = &Command{
	Name:     giveUpName,
	Summary:  "Give up a combination that you have taken on, so that it is free for others",
	Help:     "Name the combination, or nothing if you have taken on just one. The trainer can free anybody's.",
	Free:     true,
	FreeHelp: "the combination, as in: orrick mid 31G 8 mm",
	Options:  combinationOptions(),
	Who:      anyMember,
	Admits:   true,
	Examples: []string{"/totest release orrick mid 31G 8 mm", "/totest release"},
	Run:      runGiveUp,
}

func runGiveUp(ctx context.Context, env *Env, call *Call) (Card, error) {
	claims, err := standingClaims(ctx, env, call.today())
	if err != nil {
		return Card{}, err
	}
	named := questionText(call) != ""
	if named {
		a, err := readQuestion(env, call)
		if err != nil {
			return Card{}, err
		}
		claims = slices.DeleteFunc(claims,
			func(c knowledge.Claim) bool { return pin(c.Combination) != pin(a.combination) })
		if len(claims) == 1 && claims[0].Member.ID != call.by.ID && !call.Asker.Role.Covers(knowledge.TrainerRole) {
			return Card{}, refuse("The trainer can free it.", "%s has taken it on, not you.", claims[0].Member.Name)
		}
	} else {
		claims = slices.DeleteFunc(claims, func(c knowledge.Claim) bool { return c.Member.ID != call.by.ID })
	}
	switch {
	case len(claims) == 0 && named:
		return Card{}, refuse("/"+takeName+" lists what is.", "Nobody has taken that on.")
	case len(claims) == 0:
		return Card{}, refuse("/"+takeName+" lists who tests what.", "You have taken nothing on.")
	case len(claims) > 1:
		return whichClaim(call, claims), nil
	}
	given, err := env.Group.GiveUp(ctx, call.by, claims[0].ID)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: given.Combination.String(), Verdict: "Free for others again."}
	c.Actions = []Action{toAskAbout("take it on again", takeName, given.Combination)}
	return c, nil
}

// whichClaim asks which of several is meant.
func whichClaim(call *Call, claims []knowledge.Claim) Card {
	c := Card{Title: "You have taken on several. Which one?"}
	for _, claim := range claims[:min(len(claims), mostSuggestions)] {
		c.Choices = append(c.Choices, Choice{claim.Combination.String(), call.about(giveUpName, claim.Combination)})
	}
	return c
}
