package commands

import (
	"context"
	"slices"
	"strings"
	"sync"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// wordIndex keeps the index of the community's words, built once for each version of its vocabulary.
type wordIndex struct {
	mu         sync.Mutex
	vocabulary *knowledge.Vocabulary
	index      *question.Index
}

// reader is the current vocabulary and the index over it.
func (env *Env) reader(ctx context.Context) (*knowledge.Vocabulary, *question.Index, error) {
	vocabulary, err := env.Group.Vocabulary(ctx)
	if err != nil {
		return nil, nil, err
	}
	env.words.mu.Lock()
	defer env.words.mu.Unlock()
	if env.words.index == nil || env.words.vocabulary.Version != vocabulary.Version {
		env.words.vocabulary = vocabulary
		env.words.index = question.NewIndex(vocabulary.Products, vocabulary.Instruments, vocabulary.Syringes)
	}
	return env.words.vocabulary, env.words.index, nil
}

// The options that name a combination. What a phone's picker fills in is read in the same way as a typed question.
const (
	productOption    = "product"
	instrumentOption = "instrument"
	syringeOption    = "syringe"
)

// combinationNames are those options.
var combinationNames = []string{productOption, instrumentOption, syringeOption}

// combinationOptions are the three that name a combination, which free text may name as well, and the others given.
func combinationOptions(others ...Option) []Option {
	return append([]Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts},
		{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle", Suggest: suggestInstruments},
		{Name: syringeOption, Help: "supplied, or a fixed-needle syringe and its volume", Suggest: suggestSyringes},
	}, others...)
}

// subject is what a question is about.
type subject struct {
	combination trade.Combination
	by          float64 // seconds the asker named, 0 for none
	pullML      float64 // pull the asker named, 0 for none
}

// readQuestion reads a request's options, each a whole value, and its free text as
// one question.
//
// Errors: *UserError where nothing is asked about; *questionBack where the words name no combination, or several, or
// where something that matters was left unread.
func readQuestion(env *Env, call *Call) (a subject, err error) {
	if questionText(call) == "" {
		return a, refuse("Write for example: "+call.example()+".", "Which gel, on which needle or cannula?")
	}
	a.by, _ = call.number("seconds")
	a.pullML, _ = call.number("pull")
	if call.About != "" {
		if a.combination, err = pinned(call.lists, call.About); err == nil {
			env.rememberAsked(call, a)
		}
		return a, err
	}
	stated, err := call.stated()
	if err != nil {
		return a, err
	}
	stated.BySeconds, stated.PullML = a.by, a.pullML
	reading := call.index.ReadQuestion(call.text, stated)
	if reading.Outcome != question.One {
		card := askBack(call, reading)
		env.awaitChoice(call.Request, questionText(call), onlyChoice(call.index, card.Choices), card)
		return a, &questionBack{card}
	}
	a = subject{reading.Combination(), reading.BySeconds, reading.PullML}
	if back := call.askUnread(reading, a); back != nil {
		env.awaitChoice(call.Request, "", turn{}, back.Card)
		return a, back
	}
	env.rememberAsked(call, a)
	return a, nil
}

// evidenceAsked is what the group knows of the combination that a request asks about, at the pull that it names.
//
// Errors: as readQuestion.
func evidenceAsked(ctx context.Context, env *Env, call *Call) (subject, *knowledge.Evidence, error) {
	a, err := readQuestion(env, call)
	if err != nil {
		return a, nil, err
	}
	pull, err := a.pull()
	if err != nil {
		return a, nil, err
	}
	evidence, err := env.Group.Evidence(ctx, a.combination, pull)
	return a, evidence, err
}

// questionText puts the options that name the combination before the free text.
func questionText(call *Call) string {
	parts := []string{call.About, call.value(productOption), call.value(instrumentOption), call.value(syringeOption),
		call.text}
	return strings.Join(slices.DeleteFunc(parts, func(part string) bool { return part == "" }), ", ")
}

// askBack is the card for a question that does not name one combination. A choice that settles everything carries the
// combination; one that leaves more open carries what it settles and the words.
func askBack(call *Call, r question.Reading) Card {
	c := Card{Title: r.Problem}
	if r.Hint != "" {
		c.line("%s", r.Hint)
	}
	if r.Outcome == question.Choose {
		for _, choice := range r.Choices {
			c.Choices = append(c.Choices, Choice{Label: choice.Label, Request: call.picked(choice, r.Problem)})
		}
		if side, is := sideBySide(call, c.Choices); is {
			c.Choices = append(c.Choices, side)
		}
	} else {
		c.Refused = true
	}
	c.Figures = askedBack{Product: r.Product.Name}
	return c
}

// sideBySide is the choice to compare, where a question sets needles or gels against each other: "orrick mid, 27G 13 mm
// vs 30G 13 mm".
func sideBySide(call *Call, choices []Choice) (side Choice, is bool) {
	if !question.Compares(call.text) || len(choices) < 2 {
		return side, false
	}
	return Choice{"side by side", Request{Command: compareName, Asker: call.Asker, Text: call.text}}, true
}

// picked is the request that a choice makes. Where the words would ask the same again, because they name another gel or
// needle than an option does, the choice replaces them.
func (call *Call) picked(choice question.Choice, asked string) Request {
	whole := call.index.ReadQuestion(choice.Along, choice.Stated)
	if whole.Problem == asked {
		whole = call.index.Read(choice.Label)
	}
	if whole.Outcome == question.One {
		return call.onto(whole.Combination(), whole.PullML, whole.BySeconds)
	}
	s := choice.Stated
	again := call.beside(Request{Command: call.Command, Text: choice.Along, Asker: call.Asker}).
		withMeasures(call.cmd, s.PullML, s.BySeconds)
	if s.Product != nil {
		again = again.with(productOption, s.Product.Name)
	}
	if s.Instrument != nil {
		again = again.with(instrumentOption, call.index.InstrumentName(*s.Instrument))
	}
	if s.Syringe != nil {
		again = again.with(syringeOption, s.Syringe.Name)
	}
	return again
}

// onto is the same request about just this combination, with the pull and the seconds where they are known.
func (call *Call) onto(c trade.Combination, pullML, seconds float64) Request {
	return call.beside(call.about(call.Command, c)).withMeasures(call.cmd, pullML, seconds)
}

// about is a request by the same asker to a command about just this combination.
func (r Request) about(command string, c trade.Combination) Request {
	on := about(command, c)
	on.Asker = r.Asker
	return on
}

// withMeasures is the request with the pull in mL and the seconds, where they are known (not 0) and cmd takes them.
func (r Request) withMeasures(cmd *Command, pullML, seconds float64) Request {
	for name, value := range map[string]float64{"pull": pullML, "seconds": seconds} {
		if value > 0 && cmd != nil && cmd.option(name) != nil {
			r = r.with(name, trimNumber(value))
		}
	}
	return r
}

// beside is a request to the call's command with the options given other than the combination, pull and seconds.
func (call *Call) beside(r Request) Request {
	for _, o := range call.cmd.Options {
		switch o.Name {
		case productOption, instrumentOption, syringeOption, "pull", "seconds":
		default:
			if v := call.value(o.Name); v != "" {
				r = r.with(o.Name, v)
			}
		}
	}
	return r
}
