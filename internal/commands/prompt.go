package commands

import (
	"context"
	"slices"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// mostPrompted is how many combinations a prompt names: more would not be read.
const mostPrompted = 3

// weekOption marks a list, and the answer to it, as part of a week's prompt.
const weekOption = "week"

// Prompt is what a week's prompt says at a time in the community's zone, and the combinations that it names. If it was
// posted, it also names those that were taken on since, with who has them. The Card has no title where there is nothing
// to say, and no caveats yet.
func Prompt(ctx context.Context, g *knowledge.Group, week string, now time.Time, posted bool) (c Card,
	open []knowledge.OpenCombination, err error) {
	open, err = g.Untested(ctx, now.Format(dateForm))
	if err != nil {
		return Card{}, nil, err
	}
	day := ""
	if posted {
		_, begun, err := g.PromptSpan(ctx, week, now)
		if err != nil {
			return Card{}, nil, err
		}
		day = begun.In(now.Location()).Format(dateForm)
	}
	open = prompted(open, day)
	l, err := LearnedFor(ctx, g, week, now)
	if err != nil {
		return Card{}, nil, err
	}
	return promptCard(open, l, week), open, nil
}

// prompted picks from what nobody had taken on before a day, "" for nobody at all: what is nearest to a hold first,
// then what is newly stocked and untested, then the rest, each in order of worth.
func prompted(open []knowledge.OpenCombination, day string) []knowledge.OpenCombination {
	var near, fresh, rest []knowledge.OpenCombination
	for _, o := range open {
		switch {
		case o.Claim != nil && (day == "" || o.Claim.TakenOn < day):
		case o.Advice.Near:
			near = append(near, o)
		case o.NewlyStocked && o.Tests == 0:
			fresh = append(fresh, o)
		default:
			rest = append(rest, o)
		}
	}
	all := slices.Concat(near, fresh, rest)
	return all[:min(len(all), mostPrompted)]
}

func promptCard(open []knowledge.OpenCombination, l Learned, week string) Card {
	var c Card
	if len(open) == 0 {
		if c.Facts = l.Facts(); len(c.Facts) > 0 {
			c.Title = "What was learned " + l.Span()
		}
		return c
	}
	c.Title = "Worth a test this week"
	var free []trade.Combination
	for _, o := range open {
		text := o.Why
		if o.Claim == nil {
			free = append(free, o.Combination)
		} else {
			text = "taken on by " + o.Claim.Member.Name + " until " + o.Claim.DueOn
		}
		c.Facts = append(c.Facts, Fact{Label: stockWords(o.Combination), Text: text})
	}
	if len(free) > 0 {
		list := takeOnPick(free)
		list.Request.Values = map[string]string{weekOption: week}
		c.Picks = []Pick{list}
	}
	line := l.Line()
	c.Facts = append(c.Facts, line...)
	c.Actions = []Action{UntestedAction()}
	if len(line) > 0 {
		c.Actions = append(c.Actions, NewsAction())
	}
	return c
}

// ofWeek is the option that weekOption names.
func ofWeek() Option {
	return Option{Name: weekOption, Help: "the week of the prompt that it belongs to", Unlisted: true}
}

// promptRequest asks for a week's prompt as it is now, nil for none.
func promptRequest(week string) *Request {
	if week == "" {
		return nil
	}
	return new(Request{Command: takeName}.with(weekOption, week))
}

// promptAgain is a week's prompt as it is now.
func promptAgain(ctx context.Context, env *Env, call *Call, week string) (Card, error) {
	c, _, err := Prompt(ctx, env.Group, week, call.now, true)
	if err == nil && c.Title == "" {
		c.Title = "Nothing in stock is left untested or open."
	}
	return c, err
}
