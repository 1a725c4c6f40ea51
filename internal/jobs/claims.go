package jobs

import (
	"context"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

// claimsJob reminds members once of the tests they have taken on, and frees those that are late: daily, from the
// community's reminder hour on.
func claimsJob() *Job {
	return &Job{
		Name: "claims",
		due:  daytime,
		tidy: func(ctx context.Context, g *knowledge.Group, m moment) error {
			_, err := g.LapseClaims(ctx, m.day)
			return err
		},
		find: findReminders,
	}
}

// findReminders drafts one post for each member with a claim that is due.
func findReminders(ctx context.Context, g *knowledge.Group, m moment) (drafts []draft, err error) {
	claims, err := g.DueClaims(ctx, m.day)
	if err != nil {
		return nil, err
	}
	var members []knowledge.Member
	of := map[int64][]knowledge.Claim{}
	for _, claim := range claims {
		if len(of[claim.Member.ID]) == 0 {
			members = append(members, claim.Member)
		}
		of[claim.Member.ID] = append(of[claim.Member.ID], claim)
	}
	for _, member := range members {
		d := draft{kind: knowledge.ClaimReminder}
		for _, claim := range of[member.ID] {
			d.keys = append(d.keys, claim.NoticeKey())
		}
		d.write = func(_ context.Context, mine map[string]bool) (Post, error) {
			card := reminderCard(of[member.ID], mine)
			return Post{Member: member.Ref, Card: commands.Unasked(card, commands.Bearing{Bench: true})}, nil
		}
		drafts = append(drafts, d)
	}
	return drafts, nil
}

// mostReminded bounds the rows, and with them the buttons, of a reminder.
const mostReminded = 5

func reminderCard(claims []knowledge.Claim, mine map[string]bool) commands.Card {
	c := commands.Card{Title: "You have taken on a test", Verdict: "This is the only reminder. After its day it is " +
		"free for others."}
	rows := 0
	for _, claim := range claims {
		if !mine[claim.NoticeKey()] {
			continue
		}
		if rows++; rows > mostReminded {
			continue
		}
		c.Facts = append(c.Facts, commands.Fact{Label: commands.ShortName(claim.Combination), Text: "until " +
			claim.DueOn})
		c.Actions = append(c.Actions, commands.LogAction(claim.Combination), commands.GiveUpAction(claim.Combination))
	}
	if rows > 1 {
		c.Title = "You have taken on " + say.Count(rows, "test")
	}
	if more := rows - mostReminded; more > 0 {
		c.Facts = append(c.Facts, commands.Fact{Text: "and " + say.Count(more, "more test") + ", due by tomorrow"})
	}
	return c
}
