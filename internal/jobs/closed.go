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

// tellTrainers tells each trainer in private, and the log, that a channel takes no posts: once, until something has
// been posted again.
func (r *Runner) tellTrainers(ctx context.Context, g *knowledge.Group, channel string, cause error) error {
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
				return Post{Member: ref, Card: commands.Unasked(closedCard(channel), commands.Bearing{})}, nil
			},
		}))
	}
	return errors.Join(faults...)
}

// trainers returns the platform ids of a community's trainers, each with its key in the store: the member's number,
// which is erased with the member.
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
	delete(all, "") // the owner is not known
	return all
}

// closedCard covers both kinds of posts, since reminders and the coverage message may share a channel.
func closedCard(channel string) commands.Card {
	return commands.Card{
		Title:   "A channel takes no posts from the bot",
		Verdict: "Reminders and the coverage message cannot be posted there: it is gone, or closed to the bot.",
		Channel: channel,
		Facts: []commands.Fact{
			{Label: "Which", Text: "channel " + channel},
			{Text: "Let the bot see it and send messages, links and files there, or name another: /trainer settings " +
				"reminders for the reminders, /trainer wallchart for the coverage."},
			{Text: "Reminders that are due are posted if that is done by the day after their day. This is said once."},
		},
	}
}
