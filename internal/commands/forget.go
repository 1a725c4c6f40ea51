package commands

import (
	"context"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	forgetName   = "trainer forget"
	memberOption = "member"
)

var forgetCommand = &Command{
	Name:    forgetName,
	Summary: "Erase what is stored about a member who left; their tests stay (trainer)",
	Help: "It says first what goes and what stays. Their tests stay, by a former member. It cannot be undone. " +
		"Members who are still here can do it themselves: /" + eraseName + ".",
	Options: []Option{
		{Name: memberOption, Help: "the member's name, as it is stored", Suggest: suggestMembers, Required: true},
		{Name: confirmOption, Help: "the number that it asks for", Kind: Whole, Min: 100_000, Max: 999_999},
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Private:  true,
	Examples: []string{"/trainer forget member:millbrook"},
	Plain:    wordsAre(memberOption),
	Run:      runForget,
}

func runForget(ctx context.Context, env *Env, call *Call) (Card, error) {
	m, err := namedMember(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	if m.ID == call.by.ID {
		return Card{}, refuse("/"+eraseName+" does that.", "That is you.")
	}
	r, err := env.Group.RecordOf(ctx, m)
	if err != nil {
		return Card{}, err
	}
	if own := confirmNumber(env, r); call.value(confirmOption) != own {
		return beforeForgetting(r, call.with(confirmOption, own)), nil
	}
	e, err := env.Group.ForgetMember(ctx, m, call.by)
	if err != nil {
		return Card{}, err
	}
	env.forget(ctx, m, "a trainer had a member's record erased", e)
	return erasedCard(e, "Erased. Nothing here says who that was.", "If they come back, they start as new."), nil
}

func beforeForgetting(r knowledge.Record, confirm Request) Card {
	c := Card{Title: "Erase what is stored about " + r.Member.Name + "?"}
	c.erases(r, "they", "their")
	c.line("Changes of the last hour can then no longer be undone.")
	c.line("%s", backupWords)
	c.Choices = []Choice{{Label: "erase for good", Request: confirm}}
	return c
}

// namedMember is the member of that name or platform id. Where several have the name
// it asks which.
func namedMember(ctx context.Context, env *Env, call *Call) (m knowledge.Member, err error) {
	members, err := env.Group.Members(ctx)
	if err != nil {
		return m, err
	}
	name := strings.Trim(call.value(memberOption), "<@!> ")
	var fits []knowledge.Member
	for _, one := range members {
		if one.Name == knowledge.FormerMember {
			continue
		}
		if one.Ref == name {
			return one, nil
		}
		if trade.Fold(one.Name) == trade.Fold(name) {
			fits = append(fits, one)
		}
	}
	if len(fits) == 1 {
		return fits[0], nil
	}
	if len(fits) == 0 {
		return m, refuse("/"+exportName+" kind:members has the names.", "Nobody on the list is called %s.",
			echo(name))
	}
	back := &questionBack{Card{Title: "Several members are called " + echo(name) + ". Which?"}}
	for _, one := range fits[:min(len(fits), mostSuggestions)] {
		back.Choices = append(back.Choices, Choice{Label: one.Name + ", platform id " + one.Ref,
			Request: call.with(memberOption, one.Ref)})
	}
	return m, back
}

func suggestMembers(ctx context.Context, env *Env, _ Request, typed string) ([]string, error) {
	members, err := env.Group.Members(ctx)
	var names []string
	for _, m := range members {
		if m.Name != knowledge.FormerMember && contains([]string{m.Name, m.Ref}, typed) {
			names = append(names, m.Name)
		}
	}
	return first(names), err
}
