package commands

import (
	"context"
	"strings"
	"sync"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// wordIndex keeps the index of the words that the community uses, built once
// for each version of its vocabulary.
type wordIndex struct {
	mu         sync.Mutex
	vocabulary *knowledge.Vocabulary
	index      *question.Index
}

// reader is the vocabulary in force and the index over it.
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

// The options that name a combination. What a phone's picker fills in is read
// in the same way as a typed question.
const (
	productOption    = "product"
	instrumentOption = "instrument"
	syringeOption    = "syringe"
)

// combinationOptions are the three that name a combination, each of which may be
// said in free text as well, and whatever else a command takes.
func combinationOptions(others ...Option) []Option {
	return append([]Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts},
		{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle", Suggest: suggestInstruments},
		{Name: syringeOption, Help: "supplied, or a fixed-needle syringe and its volume", Suggest: suggestSyringes},
	}, others...)
}

// asked is what a question comes down to.
type asked struct {
	combination trade.Combination
	by          float64 // seconds the asker named, 0 for none
	pullML      float64 // pull the asker named, 0 for none
}

// readQuestion reads a request's options and free text as one question. Where
// it is not one combination the card asks back, or says that it cannot be read.
func readQuestion(ctx context.Context, env *Env, req Request) (asked, *Card, error) {
	_, index, err := env.reader(ctx)
	if err != nil {
		return asked{}, nil, err
	}
	var reading question.Reading
	if req.About == "" {
		reading = index.Read(questionText(req))
	}
	a := asked{by: reading.BySeconds, pullML: reading.PullML}
	if s, given := req.number("seconds"); given {
		a.by = s
	}
	if ml, given := req.number("pull"); given {
		a.pullML = ml
	}
	if req.About != "" {
		if a.combination, err = pinned(ctx, env, req.About); err == nil {
			env.rememberAsked(req, a)
		}
		return a, nil, err
	}
	if reading.Outcome != question.One {
		card := askBack(req, reading, a)
		return asked{}, &card, nil
	}
	a.combination = reading.Combination()
	env.rememberAsked(req, a)
	return a, nil, nil
}

// evidenceAsked is what the group knows of the combination that a request asks
// about, at the pull that it names; else the card that asks back.
func evidenceAsked(ctx context.Context, env *Env, req Request) (asked, *knowledge.Evidence, *Card, error) {
	a, back, err := readQuestion(ctx, env, req)
	if err != nil || back != nil {
		return a, nil, back, err
	}
	pull, err := a.pull()
	if err != nil {
		return a, nil, nil, err
	}
	evidence, err := env.Group.Evidence(ctx, a.combination, pull)
	return a, evidence, nil, err
}

// questionText puts the options that name the combination before the free text.
func questionText(req Request) string {
	var parts []string
	for _, part := range []string{req.About, req.value(productOption), req.value(instrumentOption), req.value(syringeOption), req.Text} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, ", ")
}

// askBack is the card for a question that does not name one combination.
func askBack(req Request, r question.Reading, a asked) Card {
	c := Card{Title: r.Problem}
	if r.Hint != "" {
		c.line("%s", r.Hint)
	}
	f := askedBack{State: stateUnclear, Product: r.Product.Name, Choices: []string{}}
	if r.Outcome == question.Choose {
		f.State = stateChoose
		for _, choice := range r.Choices {
			c.Choices = append(c.Choices, Choice{Label: choice.Label, Request: req.again(choice.Text, a)})
			f.Choices = append(f.Choices, choice.Label)
		}
	} else {
		c.Refused = true
	}
	c.Figures = f
	return c
}

// again is the request with another text; the seconds and the pull that were
// named go along.
func (r Request) again(text string, a asked) Request {
	again := Request{Command: r.Command, Text: text, Asker: r.Asker, Values: map[string]string{}}
	if a.by > 0 {
		again.Values["seconds"] = trimNumber(a.by)
	}
	if a.pullML > 0 {
		again.Values["pull"] = trimNumber(a.pullML)
	}
	return again
}

// keeping puts an option of the request into the choices of a question back.
func keeping(c Card, req Request, names ...string) Card {
	for i := range c.Choices {
		for _, name := range names {
			if v := req.value(name); v != "" {
				c.Choices[i].Request = c.Choices[i].Request.with(name, v)
			}
		}
	}
	return c
}
