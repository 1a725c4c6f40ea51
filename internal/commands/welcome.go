package commands

import (
	"context"
	"fmt"
	"time"

	"holdbench/internal/knowledge"
)

// Welcome is said once to the person who added the tool to a new group.
type Welcome struct {
	Private Card // for them alone
	Open    Card // for a channel, where they could not be told in private
	Key     string
	Begun   time.Time
	Again   bool // it was tried before
	Late    bool // for a day: now it may be said where others read it

	group  *knowledge.Group
	notice knowledge.Notice
}

const (
	welcomeKey      = "first steps"
	welcomePatience = 24 * time.Hour
)

// NewWelcome is the welcome of a group that was just founded, OpenWelcome one that has
// not been delivered yet; nil where there is none.
func NewWelcome(ctx context.Context, env *Env) (*Welcome, error) {
	return env.welcome(ctx, env.Group.ClaimNotice)
}

// OpenWelcome is the welcome of a group that has not been delivered yet, nil for none.
func OpenWelcome(ctx context.Context, env *Env) (*Welcome, error) {
	return env.welcome(ctx, env.Group.RetryNotice)
}

func (env *Env) welcome(ctx context.Context, claim func(context.Context, knowledge.NoticeKind,
	string) (knowledge.Notice, bool, error)) (*Welcome, error) {
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return nil, err
	}
	n, mine, err := claim(ctx, knowledge.Welcome, welcomeKey)
	if err != nil || !mine {
		return nil, err
	}
	c := Card{Title: "Holdbench is in " + settings.Name}
	c.line("The group's time zone and ceiling, the channel for reminders, the trainers, the gels, the needles; then " +
		"a first answer.")
	c.line("%s", laterWords)
	c.line("%s", keptWords(settings.KeepDays))
	w := &Welcome{Private: c, Open: c, Key: n.Nonce, Begun: n.Begun, Again: n.Attempt > 1,
		Late: env.Now().Sub(n.Begun) >= welcomePatience, group: env.Group, notice: n}
	w.Private.Verdict = "Type /" + startName + " in the server: five short steps, for you alone."
	w.Open.Verdict = "Whoever manages the server types /" + startName + ": five short steps, for them alone."
	w.Private, w.Open = Unasked(w.Private, Bearing{}), Unasked(w.Open, Bearing{})
	return w, nil
}

// Said notes the message by which it was delivered.
func (w *Welcome) Said(ctx context.Context, message string) error {
	return w.group.CompleteNotice(ctx, w.notice, message)
}

// NotSaid notes that it was certainly not: it is tried again.
func (w *Welcome) NotSaid(ctx context.Context) error { return w.group.ReleaseNotice(ctx, w.notice) }

// keptWords says what becomes of the log when the group parts with the tool.
func keptWords(days int) string {
	return fmt.Sprintf("After leaving the server the log is kept for %s, then erased. Nothing about patients is ever "+
		"kept.", count(days, "day"))
}
