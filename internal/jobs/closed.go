package jobs

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// tellTrainers tells each trainer in private, and the log, that the channel for what
// is said unasked takes nothing: once, until something has been posted again.
func (r *Runner) tellTrainers(ctx context.Context, g *knowledge.Group, channel string, card commands.Card,
	cause error) error {
	now := r.Now()
	last, _, err := g.PromptSpan(ctx, "", now)
	if err != nil {
		return err
	}
	members, err := g.Members(ctx)
	if err != nil {
		return err
	}
	about := fmt.Sprintf("change of channel %s since %s", channel, last.UTC().Format(time.RFC3339))
	told, mine, err := claim(ctx, g, draft{kind: knowledge.VerdictNews, keys: []string{about}})
	if err != nil {
		return err
	}
	if mine[about] {
		r.Log.WarnContext(ctx, "nothing can be posted unasked; the trainers are told in private",
			"community", g.Ref(), "channel", channel, "error", cause)
		if err := finish(ctx, g, told, ""); err != nil {
			return err
		}
	}
	var faults []error
	for ref, key := range r.trainers(g, members) {
		faults = append(faults, r.say(ctx, g, draft{
			kind: knowledge.VerdictNews, keys: []string{key + " " + about},
			write: func(context.Context, map[string]bool) (Post, error) {
				return Post{Member: ref, Card: commands.Unasked(card, commands.Bearing{})}, nil
			},
		}))
	}
	return errors.Join(faults...)
}

// trainers are the platform's ids of a community's trainers, each with what names it
// in the store: the number of a member, which goes with the member.
func (r *Runner) trainers(g *knowledge.Group, members []knowledge.Member) map[string]string {
	all := map[string]string{}
	if r.Owner != nil {
		all[r.Owner(g.Ref())] = "owner"
	}
	for _, m := range members {
		if m.Role == knowledge.TrainerRole {
			all[m.Ref] = strconv.FormatInt(m.ID, 10)
		}
	}
	delete(all, "") // nobody is known to own it
	return all
}

func closedCard() commands.Card {
	return commands.Card{
		Title:   "The reminders cannot be posted",
		Verdict: "Their channel is gone, or closed to the bot.",
		Facts: []commands.Fact{
			{Text: "Let the bot see the channel and send messages and links there, or set another: /trainer settings " +
				"reminders."},
			{Text: "What is due is posted if that is done by the day after its day. This is said once."},
		},
	}
}
