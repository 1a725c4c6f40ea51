package commands

import (
	"context"

	"holdbench/internal/fault"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	choicesName    = "me choices"
	mentionsOption = "mentions"
	verdictsOption = "verdicts"
)

var choicesCommand = &Command{
	Name:    choicesName,
	Summary: "What you agree to: being mentioned in reminders, being told when a verdict changes",
	Help: "Both are off until you say yes. From a yes to verdicts on it is kept for 60 days what you asked about " +
		"and when, so that you can be told; with no, nothing more is kept.",
	Options: []Option{
		{Name: mentionsOption, Help: "may reminders mention you", Kind: YesNo},
		{Name: verdictsOption, Help: "tell you when a verdict changes on what you asked about in the last 60 days",
			Kind: YesNo},
	},
	Who:      anyMember,
	Admits:   true,
	Examples: []string{"/me choices", "/me choices mentions:yes verdicts:yes"},
	Run:      runChoices,
}

func runChoices(ctx context.Context, env *Env, call *Call) (Card, error) {
	choices, err := env.Group.Choices(ctx, call.by)
	if err != nil {
		return Card{}, err
	}
	changed := false
	for name, to := range map[string]*bool{mentionsOption: &choices.MayMention, verdictsOption: &choices.TellVerdicts} {
		if call.given(name) {
			*to, changed = call.yes(name), true
		}
	}
	if changed {
		if err := env.Group.SetChoices(ctx, call.by, choices); err != nil {
			return Card{}, err
		}
	}
	return choicesCard(choices), nil
}

func choicesCard(choices knowledge.Choices) Card {
	c := Card{Title: "What you agree to"}
	for _, one := range []struct {
		name, words string
		agreed      bool
	}{
		{mentionsOption, "be mentioned in reminders", choices.MayMention},
		{verdictsOption, "be told when a verdict changes on what you asked about", choices.TellVerdicts},
	} {
		said, other := "no", "yes"
		if one.agreed {
			said, other = other, said
		}
		c.fact(said, "%s", one.words)
		c.Actions = append(c.Actions, Action{Label: other + " to " + one.name,
			Request: Request{Command: choicesName, Values: map[string]string{one.name: other}}})
	}
	return c
}

// noteAsked keeps what a member asked about, where they agreed to be told when its verdict changes. A fault here does
// not keep the question from being answered.
func noteAsked(ctx context.Context, env *Env, call *Call, c trade.Combination) {
	if err := env.noteAsked(ctx, call, c); err != nil {
		env.Log.WarnContext(ctx, "what was asked is not noted", "error", fault.Redact(err.Error(), c.String()))
	}
}

func (env *Env) noteAsked(ctx context.Context, call *Call, c trade.Combination) error {
	m, err := env.known(ctx, call.Asker.Ref)
	if err != nil || m.ID == 0 {
		return err
	}
	choices, err := env.Group.Choices(ctx, m)
	if err != nil || !choices.TellVerdicts {
		return err
	}
	return env.Group.NoteAsked(ctx, m, c, call.today())
}
