package commands

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"holdbench/internal/knowledge"
)

const (
	wallChartName = "trainer wallchart"
	channelOption = "channel"
	offOption     = "off"
)

var wallChartCommand = &Command{
	Name:    wallChartName,
	Summary: "One message in a channel that always shows the group's coverage (trainer)",
	Help: "It shows what is tested and what is not, as a picture and in words, and is updated when that changes, at " +
		"least daily. Pin it to find it again. If somebody deletes it, it is posted again.",
	Options: []Option{
		{Name: channelOption, Help: "the channel to post it in", Kind: PlatformChannel},
		{Name: offOption, Help: "yes: stop updating it; the message stays as it is", Kind: YesNo},
	},
	Who:      knowledge.TrainerRole,
	Examples: []string{"/trainer wallchart channel:400000000000000002", "/trainer wallchart off:yes"},
	Run:      runWallChart,
}

func runWallChart(ctx context.Context, env *Env, call *Call) (Card, error) {
	channel := call.value(channelOption)
	switch {
	case channel != "" && call.yes(offOption):
		return Card{}, refuse("Choose one.", "It cannot be set and switched off at once.")
	case channel != "":
		if err := env.mayPost(ctx, channel); err != nil {
			return Card{}, err
		}
		fallthrough
	case call.yes(offOption):
		if err := env.Group.KeepCoveragePost(ctx, channel); err != nil {
			return Card{}, err
		}
	}
	kept, err := env.Group.CoveragePost(ctx)
	if isNotFound(err) {
		return Card{Title: "No message shows the coverage.", Verdict: "The option channel sets where to post one."}, nil
	}
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "One message shows the coverage and stays up to date.", Channel: kept.Channel}
	c.line("It appears in channel %s within a few minutes.", kept.Channel)
	return c, nil
}

// WallChart is the group's coverage as a message that stays in a channel. shown is a checksum of what it says, the day
// included; draw makes the message with its picture.
func WallChart(ctx context.Context, g *knowledge.Group, now time.Time) (shown string, draw func() (Card, error),
	err error) {
	env := &Env{Group: g, Now: func() time.Time { return now }}
	settings, today, err := env.here(ctx)
	if err != nil {
		return "", nil, err
	}
	covered, err := g.Coverage(ctx)
	if err != nil {
		return "", nil, err
	}
	t := newCoverageTable(covered, settings)
	c := Card{Title: "Coverage of " + settings.Name + ", as of " + today.Format(dateForm),
		Actions: []Action{UntestedAction()}}
	if len(t.products) == 0 {
		c.line("Nothing is tested or in stock yet.")
	} else {
		c.Facts = append(t.sums(&c, len(t.products)), t.rows(1)...)
	}
	sum := sha256.Sum256([]byte(c.Text()))
	return hex.EncodeToString(sum[:]), func() (Card, error) {
		if len(t.products) == 0 {
			return c, nil
		}
		p, err := t.picture.Draw(1)
		if err != nil {
			return Card{}, fmt.Errorf("picture of the coverage: %w", err)
		}
		if t.picture.Pages() > 1 {
			next := Request{Command: coverageName}.with(pageOption, "2")
			c.Actions = append(c.Actions, Action{Label: nextPage, Request: next})
		}
		c.Picture = Request{Command: coverageName}.drawn(p, 1)
		return c, nil
	}, nil
}
