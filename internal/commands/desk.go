package commands

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

const deskName = "trainer desk"

var deskCommand = &Command{
	Name:    deskName,
	Summary: "What waits for you: wall classes, flagged tests, names, what is nearly settled, the backup (trainer)",
	Help: "One card, the cheapest gain first: a look at a box gives a wall class, and with it a narrower answer for " +
		"every gel on that needle. Each line has its button.",
	Who:      knowledge.TrainerRole,
	Examples: []string{"/trainer desk"},
	Run:      runDesk,
}

func runDesk(ctx context.Context, env *Env, call *Call) (Card, error) {
	c := Card{Title: "What waits for a trainer"}
	for _, line := range []func(context.Context, *Env, *Call, *Card) error{deskStart, deskWalls, deskFlagged, deskNames,
		deskNearly} {
		if err := line(ctx, env, call, &c); err != nil {
			return Card{}, err
		}
	}
	if len(c.Facts) == 0 {
		c.Title = "Nothing waits for a trainer"
	}
	return c, deskBackup(ctx, env, &c)
}

// mostOnDesk is how many names a line has.
const mostOnDesk = 2

// deskStart names the first step that is open and without which nothing can be asked.
func deskStart(ctx context.Context, env *Env, _ *Call, c *Card) error {
	b, err := env.beginning(ctx)
	if err != nil || b.missing() == 0 {
		return err
	}
	c.fact("First steps", "%s: none on the list", stepNames[b.missing()])
	c.Actions = append(c.Actions, toAsk("first steps", startName))
	return nil
}

// deskWalls names the needles whose wall class is not on record, the tested ones first.
func deskWalls(ctx context.Context, env *Env, _ *Call, c *Card) error {
	open, err := env.Group.NeedlesWithoutWall(ctx)
	if err != nil || len(open) == 0 {
		return err
	}
	var names []string
	list := Pick{Label: "Set the wall class of …", Request: Request{Command: correctNeedleName},
		Option: instrumentOption}
	for _, u := range open {
		name := u.Instrument.Name()
		names = append(names, name)
		list.Items = append(list.Items, Item{Label: name + ", " + count(u.Tests, "test"), Value: name})
	}
	c.fact("No wall class", "%s. It is printed on the box.", someOf(names, mostOnDesk, ", "))
	c.Picks = append(c.Picks, list)
	return nil
}

// deskFlagged counts the tests that nobody has looked at yet.
func deskFlagged(ctx context.Context, env *Env, _ *Call, c *Card) error {
	flagged, err := env.Group.Flagged(ctx)
	if err != nil {
		return err
	}
	var names []string
	for _, f := range flagged {
		if f.Checked == nil {
			names = append(names, "test "+strconv.FormatInt(f.Test.ID, 10))
		}
	}
	if len(names) > 0 {
		c.fact("Flagged", "%s", someOf(names, mostOnDesk, ", "))
		c.Actions = append(c.Actions, toAsk("flagged tests", flaggedName))
	}
	return nil
}

// deskNames names two gels that may be one.
func deskNames(ctx context.Context, env *Env, _ *Call, c *Card) error {
	pairs, err := env.Group.AlikeProducts(ctx)
	if err != nil || len(pairs) == 0 {
		return err
	}
	stays, goes := pairs[0][0].Name, pairs[0][1].Name
	words := goes + " beside " + stays
	if more := len(pairs) - 1; more > 0 {
		words += fmt.Sprintf(", and %d more", more)
	}
	c.fact("Look alike", "%s", words)
	c.Actions = append(c.Actions,
		toAsk("one gel?", mergeName).with(productOption, goes).with(intoOption, stays).
			with(reasonOption, "one gel under two spellings"),
		toAsk("they are two", apartGelsName).with(productOption, goes).with(otherOption, stays))
	return nil
}

// deskNearly names the combinations that a few more tests would likely give a hold.
func deskNearly(ctx context.Context, env *Env, call *Call, c *Card) error {
	open, err := env.Group.Untested(ctx, call.today())
	if err != nil {
		return err
	}
	var names []string
	for _, o := range open {
		if o.Advice.Near {
			names = append(names, stockWords(o.Combination)+" ("+say.Missing(o.Advice)+")")
		}
	}
	if len(names) > 0 {
		c.fact("Nearly settled", "%s", someOf(names, mostOnDesk, ", "))
		c.Actions = append(c.Actions, toAsk("what to test", untestedName))
	}
	return nil
}

// oldBackup is the age from which on a nightly backup was missed.
const oldBackup = 36 * time.Hour

// deskBackup says how old the latest nightly backup is.
func deskBackup(ctx context.Context, env *Env, c *Card) error {
	at, err := env.Group.LastBackup(ctx)
	if err != nil {
		return err
	}
	words := "no nightly backup is known: ask whoever runs the bot"
	if age := env.Now().Sub(at); !at.IsZero() {
		words = spanWords(age) + " old"
		if age > oldBackup {
			words += ": a night was missed, ask whoever runs the bot"
		}
	}
	c.fact("Backup", "%s", words)
	c.Actions = append(c.Actions, toAsk("take the log away", exportName))
	return nil
}

// spanWords is a time span in hours, from two days on in days.
func spanWords(d time.Duration) string {
	if hours := int(d.Hours()); hours < 48 {
		return count(hours, "hour")
	}
	return count(int(d.Hours()/24), "day")
}
