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
	Summary: "The first steps: five for a trainer, one message each, to leave and come back to",
	Help: "For a trainer: the group, the channel for reminders, who else is a trainer, the gels, the needles, then " +
		"a first answer. It continues at the first open step. For a member: how to begin.",
	Options: unlisted(
		Option{Name: "step", Help: "one of the five", Kind: Whole, Min: 1, Max: lastStep + 1},
		Option{Name: nameOption, Help: "what the group is called", Most: 100, Kept: true},
		Option{Name: "zone", Help: "the time zone of dates, as in Europe/London"},
		Option{Name: "ceiling", Help: "the longest usable hold", Kind: Number, Unit: "s", Min: 1,
			Max: float64(knowledge.MaxCeiling)},
		Option{Name: "reminders", Help: "the channel for the weekly prompt", Kind: PlatformChannel},
		Option{Name: "trainers", Help: "the role whose holders are trainers", Kind: PlatformRole},
		Option{Name: gelsOption, Help: "names of gels, with ; between", Most: longestList},
		gelClassOption("the class of these gels", false),
		Option{Name: sureOption, Help: "yes: the first of these gels is not the one with nearly the same name",
			Kind: YesNo},
		Option{Name: sameOption, Help: "the gel that the first of these is another name for"},
		Option{Name: needlesOption, Help: "sizes, with commas between, as in 30G 13 mm needle"},
		Option{Name: wallOption, Help: "the wall class of the needles that have none on record",
			Choices: wallNames(), Reads: wallReader(notSure)},
	),
	Who:      anyMember,
	Quick:    true,
	Examples: []string{"/holdbench start"},
	Form:     startForm,
	Run:      runStart,
}

// unlisted are options that only buttons, lists and forms set.
func unlisted(options ...Option) []Option {
	for i := range options {
		options[i].Unlisted = true
	}
	return options
}

// The steps.
const (
	groupStep = iota + 1
	reminderStep
	trainerStep
	gelStep
	needleStep
	lastStep = needleStep
)

// beginning is what a group has set so far. The next step follows from it, so progress itself is not stored.
type beginning struct {
	settings knowledge.Settings
	gels     []trade.Product    // in use
	needles  []trade.Instrument // in use
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

// open is the first step that is not done, lastStep+1 where all are. The group step, which has defaults, counts as done
// once any later one is.
func (b beginning) open() int {
	done := []bool{b.settings.ReminderChannel != "", b.settings.TrainerRole != "", len(b.gels) > 0, len(b.needles) > 0}
	switch first := slices.Index(done, false); {
	case !slices.Contains(done, true):
		return groupStep
	case first < 0:
		return lastStep + 1
	default:
		return reminderStep + first
	}
}

// missing is the step that adds what every question needs and the lists lack: gels or needles. It is 0 for neither.
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
	asks := len(says.Choices) > 0 // about a gel
	if asks {
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
	if asks {
		c.Verdict, c.Facts, c.Choices, c.Actions = says.Verdict, says.Facts, says.Choices, says.Actions
	}
	return c, err
}

// memberStart is how a member begins, and anybody whose role is not known where they ask.
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

// firstAnswer answers a question about the latest gel and the latest needle.
func firstAnswer(ctx context.Context, env *Env, call *Call, b beginning) (Card, error) {
	if missing := b.missing(); missing > 0 {
		c := b.card(missing, env.Now())
		c.warn("A first question needs a gel and a needle.")
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

// setUp shows what is set, with a way back to each step.
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
	return Action{Label: label, Request: stepRequest(step), Here: true}
}

// stepRequest asks for a step of the guided start.
func stepRequest(step int) Request {
	return Request{Command: startName}.with("step", strconv.Itoa(step))
}
