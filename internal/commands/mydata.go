package commands

import (
	"context"
	"fmt"

	"holdbench/internal/knowledge"
)

const myDataName = "me data"

var myDataCommand = &Command{
	Name:    myDataName,
	Summary: "What is stored about you here, and who can see it",
	Help: "Stored are your platform id and shown name, your tests, your stock, and what you took on, put aside, " +
		"agreed to and did to the log.",
	Who:      anyMember,
	Quick:    true,
	Private:  true,
	Examples: []string{"/me data"},
	Run:      onRecord(recordCard),
}

// onRecord runs a command on all that is stored about the asker. Asking does not put anybody on the group's list.
func onRecord(run func(context.Context, *Env, *Call, knowledge.Record) (Card, error)) func(context.Context, *Env,
	*Call) (Card, error) {
	return func(ctx context.Context, env *Env, call *Call) (Card, error) {
		r, err := env.Group.RecordOf(ctx, knowledge.Member{Ref: call.Asker.Ref})
		if isNotFound(err) {
			return Card{Title: "Nothing is stored about you here.",
				Verdict: "You come onto the group's list with the first thing you put on record."}, nil
		}
		if err != nil {
			return Card{}, err
		}
		return run(ctx, env, call, r)
	}
}

// recordCard says what is stored, and who can see it.
func recordCard(_ context.Context, _ *Env, _ *Call, r knowledge.Record) (Card, error) {
	c := Card{Title: "What is stored about you here", Verdict: "Your name and platform id, and what you put on record:"}
	c.fact("Name", "%s, as last shown; platform id %s", r.Member.Name, r.Member.Ref)
	c.fact("On the list", "since %s, last as %s", r.Since.Format(dateForm), r.Member.Role)
	c.fact("Agreed to", "being mentioned: %s; messages about changed verdicts: %s", yesOrNo(r.Choices.MayMention),
		yesOrNo(r.Choices.TellVerdicts))
	if !r.Direct.IsZero() {
		c.fact("Direct messages", "answered by this group, since you chose so")
	}
	c.fact("Tests", "%s%s, with day, set-up, time, your note and the link to a film", count(len(r.Tests), "test"),
		withdrawnWords(r.Tests))
	c.fact("Stock", "%s", count(len(r.Stock), "item"))
	c.fact("Taken on", "%s", count(len(r.Claims), "combination"))
	c.fact("Bench box", "%s put aside, %s emptied, %s logged", count(len(r.Box), "syringe"), count(r.Emptied, "place"),
		count(r.Batches, "session"))
	c.fact("Asked about", "%s in the last 60 days%s", count(len(r.Asked), "combination"), askedRemark(r))
	c.fact("Done to the log", "%s: withdrawn, corrected, checked, renamed …", count(len(r.Done), "thing"))
	c.line("The group sees your name on your tests, on what you took on and in the box; the trainer's files can have " +
		"it, too. Of your stock the group sees counts, and the trainer can see it and take it as a file.")
	c.line("Not stored: your messages, and your questions as you wrote them.")
	c.Actions = []Action{toAsk("all of it as a file", myFileName), toAsk("have it erased", eraseName)}
	return c, nil
}

func yesOrNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func withdrawnWords(tests []knowledge.BenchTest) string {
	out := 0
	for _, t := range tests {
		if t.State == knowledge.Withdrawn {
			out++
		}
	}
	if out == 0 {
		return ""
	}
	return fmt.Sprintf(", %d of them withdrawn", out)
}

func askedRemark(r knowledge.Record) string {
	if r.Choices.TellVerdicts {
		return ""
	}
	return "; kept only after a yes to verdicts"
}
