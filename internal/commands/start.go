package commands

import (
	"cmp"
	"context"
	"slices"
	"strconv"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const startName = "holdbench start"

var startCommand = &Command{
	Name:    startName,
	Summary: "The first steps: for a trainer five, one message each, to be left and taken up again",
	Help: "For a trainer: the group, the channel for reminders, who else is a trainer, the gels, the needles, then " +
		"a first answer. It goes on where something is still open. For a member: how to begin.",
	Options: []Option{
		{Name: "step", Help: "one of the five", Kind: Whole, Min: 1, Max: lastStep + 1, Unlisted: true},
		{Name: "name", Help: "what the group is called", Most: 100, Kept: true, Unlisted: true},
		{Name: "zone", Help: "the time zone of dates, as in Europe/London", Unlisted: true},
		{Name: "ceiling", Help: "the longest usable hold", Kind: Number, Unit: "s", Min: 1,
			Max: float64(knowledge.MaxCeiling), Unlisted: true},
		{Name: "reminders", Help: "the channel for the weekly prompt", Kind: PlatformChannel, Unlisted: true},
		{Name: "trainers", Help: "the role whose holders are trainers", Kind: PlatformRole, Unlisted: true},
		{Name: gelsField, Help: "names of gels, with ; between", Most: longestList, Unlisted: true},
		{Name: classField, Help: "the class of these gels", Choices: gelClassNames(), Reads: readClass, Unlisted: true},
		{Name: sureOption, Help: "yes: the first of these gels is another than the one it is nearly called like",
			Kind: YesNo, Unlisted: true},
		{Name: sameOption, Help: "the gel that the first of these is another name for", Unlisted: true},
		{Name: "needles", Help: "sizes, with commas between, as in 30G 13 mm needle", Unlisted: true},
		{Name: "wall", Help: "the wall class of the needles that have none on record", Choices: wallNames(),
			Reads:    wallReader(notSure),
			Unlisted: true},
	},
	Who:      anyMember,
	Quick:    true,
	Examples: []string{"/holdbench start"},
	Form:     startForm,
	Run:      runStart,
}

// The steps, and what comes after the last.
const (
	groupStep = iota + 1
	reminderStep
	trainerStep
	gelStep
	needleStep
	lastStep = needleStep
)

// beginning is what a group has set so far. The step that comes next follows from it,
// so that nothing about the walk itself is kept.
type beginning struct {
	settings knowledge.Settings
	gels     []trade.Product // those in use, as the needles
	needles  []trade.Instrument
}

func (env *Env) beginning(ctx context.Context) (b beginning, err error) {
	if b.settings, err = env.Group.Settings(ctx); err != nil {
		return b, err
	}
	v, err := env.Group.Vocabulary(ctx)
	if err != nil {
		return b, err
	}
	b.gels = slices.DeleteFunc(slices.Clone(v.Products), func(p trade.Product) bool { return p.RetiredOn != "" })
	b.needles = slices.DeleteFunc(slices.Clone(v.Instruments),
		func(i trade.Instrument) bool { return i.RetiredOn != "" })
	return b, nil
}

// open is the first step that is not done, above lastStep where all are. That somebody
// has looked at the first shows in any later one.
func (b beginning) open() int {
	done := [...]bool{
		reminderStep: b.settings.ReminderChannel != "", trainerStep: b.settings.TrainerRole != "",
		gelStep: len(b.gels) > 0, needleStep: len(b.needles) > 0,
	}
	open, begun := lastStep+1, false
	for step := lastStep; step > groupStep; step-- {
		if begun = begun || done[step]; !done[step] {
			open = step
		}
	}
	if !begun {
		return groupStep
	}
	return open
}

// missing is the step of what a question takes and is not on the lists, 0 for none.
func (b beginning) missing() int {
	switch {
	case len(b.gels) == 0:
		return gelStep
	case len(b.needles) == 0:
		return needleStep
	}
	return 0
}

func runStart(ctx context.Context, env *Env, call *Call) (Card, error) {
	trainer := call.Asker.Role.Covers(knowledge.TrainerRole)
	if !trainer && len(call.Values) > 0 {
		return Card{}, refuse(notPermitted(knowledge.TrainerRole, call.Asker),
			"What a group sets for itself is not open to you.")
	}
	at, says, err := setBeginning(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	b, err := env.beginning(ctx)
	if err != nil {
		return Card{}, err
	}
	if len(says.Choices) > 0 { // about a gel
		at = gelStep
	}
	step := cmp.Or(at, call.whole("step", b.open()))
	var c Card
	switch {
	case !trainer:
		c = memberStart(b, call.Asker)
	case step > lastStep && call.given("step"):
		c, err = firstAnswer(ctx, env, call, b)
	case step > lastStep:
		c = b.setUp()
	default:
		c = b.card(step, env.Now())
	}
	c.Warnings = append(says.Warnings, c.Warnings...)
	if len(says.Choices) > 0 {
		c.Verdict, c.Facts = says.Verdict, says.Facts
		c.Choices, c.Actions = says.Choices, says.Actions
	}
	return c, err
}

// memberStart is how a member begins, or somebody of whom it cannot be told here that
// they are a trainer.
func memberStart(b beginning, asker Asker) Card {
	c := Card{Title: "Holdbench in " + b.settings.Name, Verdict: "Ask as you would ask a colleague: " +
		holdCommand.Examples[0]}
	c.line("Log a bench test with /%s; /%s tells what else there is.", logName, helpName)
	c.line("Answers are for you alone until you show them to the channel.")
	if len(b.gels) == 0 {
		c.line("%s", asker.emptyHint())
	} else if asker.RoleUnknown {
		c.line("If you are the group's trainer, /%s in the server begins the five first steps.", startName)
	}
	return c
}

// firstAnswer answers a question about the gel and the needle that were added last.
func firstAnswer(ctx context.Context, env *Env, call *Call, b beginning) (Card, error) {
	if missing := b.missing(); missing > 0 {
		c := b.card(missing, env.Now())
		c.warn("A first question takes a gel and a needle.")
		return c, nil
	}
	of := trade.Combination{Product: b.gels[len(b.gels)-1], Instrument: b.needles[len(b.needles)-1],
		Syringe: trade.Syringe{}.Filled()}
	evidence, err := env.Group.Evidence(ctx, of, calc.DefaultPull)
	if err != nil {
		return Card{}, err
	}
	c := holdCard(evidence, newOutlook(evidence, 0), call.viewer())
	c.bedside = true
	c.Before = []string{"The first steps are done. A first question, answered:"}
	c.Actions = append([]Action{LogAction(evidence.Combination)}, c.Actions...)
	return c, nil
}

// setUp says what is set, with a way back to each step.
func (b beginning) setUp() Card {
	c := Card{Title: b.settings.Name + " is set up", Role: b.settings.TrainerRole, Channel: b.settings.ReminderChannel}
	for step, words := range []string{
		groupStep:    b.settings.Zone + ", ceiling " + exactSeconds(float64(b.settings.Ceiling)),
		reminderStep: b.reminderWords(), trainerStep: trainersWords(b.settings),
		gelStep: strconv.Itoa(len(b.gels)), needleStep: strconv.Itoa(len(b.needles)),
	} {
		if step > 0 {
			c.fact(stepNames[step], "%s", words)
			c.Actions = append(c.Actions, toStep(stepNames[step], step))
		}
	}
	c.Actions = append(c.Actions, toStep("a first question", lastStep+1))
	return c
}

// toStep shows a step in place of the card.
func toStep(label string, step int) Action {
	return Action{Label: label, Request: startRequest("step", strconv.Itoa(step)), Here: true}
}

// startRequest is a request to the guided start with these options, name and value in
// turns.
func startRequest(pairs ...string) Request {
	req := Request{Command: startName, Values: map[string]string{}}
	for i := 0; i+1 < len(pairs); i += 2 {
		req.Values[pairs[i]] = pairs[i+1]
	}
	return req
}
