package commands

import (
	"slices"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// openChoice keeps a question open that asks which combination is meant, so that a few
// words settle it as a pick would.
func (env *Env) openChoice(req Request, last turn, card Card) {
	if len(card.Choices) > 0 {
		last.open = &openQuestion{&Call{Request: req}, card, false, true}
		env.remember(req, last)
	}
}

// chosen is what an open choice comes down to with a typed line: the request that was
// meant, or the choices that the line leaves. is is false for a line that says neither.
func (env *Env) chosen(v view, req Request, last turn) (again Request, card *Card, is bool) {
	open, line := last.open, strings.TrimSpace(lineOf(req))
	goesOn := last.combination.Product.ID != 0 && strings.HasSuffix(line, "?") // of the combination before
	if len(line) > maxValue || goesOn || req.Command != holdName {
		return req, nil, false
	}
	yes, agrees := logline.Agrees(line)
	stores := strings.HasPrefix(open.card.Choices[0].Label, "yes")
	switch {
	case agrees && !yes && stores:
		last.open = nil
		env.remember(req, last)
		return req, short("Nothing was stored."), true
	case agrees && !yes:
		last.open = nil
		env.remember(req, last)
		return req, short("Left open. Which gel, on which needle or cannula?",
			Action{Label: "what can be asked", Request: Request{Command: helpName}}), true
	case yes && (len(open.card.Choices) == 1 || stores):
		return env.closed(req, last, open.card.Choices[0].Request), nil, true
	}
	again, is = open.choice(line)
	if !is {
		again, is = open.pointedAt(line)
	}
	if !is {
		again, is = v.completed(open, line)
	}
	if is {
		return env.closed(req, last, again), nil, true
	}
	if again, card, is = env.chosenOtherwise(v, req, last); is {
		return again, card, is
	}
	if fits := open.saying(line); len(fits) > 1 && len(fits) < len(open.card.Choices) {
		left := open.card
		left.Choices = fits
		left.Figures = askedBack{State: stateChoose, Choices: labelsOf(fits)}
		env.openChoice(open.call.Request, last, left)
		return req, &left, true
	}
	return req, nil, false
}

// chosenOtherwise is a choice that a line names by its place with something changed: "the
// first one on 19mm".
func (env *Env) chosenOtherwise(v view, req Request, last turn) (again Request, card *Card, is bool) {
	i, then := logline.NthThen(lineOf(req), len(last.open.card.Choices))
	if i < 0 {
		return req, nil, false
	}
	read := v.index.Read(last.open.card.Choices[i].Label)
	if read.Outcome != question.One {
		return req, nil, false
	}
	f, is := v.index.ReadFollowUp(then, read.Combination())
	if !is || f.Ask != question.AskHold {
		return req, nil, false
	}
	last.open, last.pullML = nil, read.PullML
	again, card = env.follow(req, last, f)
	return again, card, true
}

func labelsOf(choices []Choice) (labels []string) {
	for _, c := range choices {
		labels = append(labels, c.Label)
	}
	return labels
}

// completed is the open request with the part that a line names beside the one that
// all its choices share: "contour" where the needle was said, "30G 8 mm" where the gel
// was.
func (v view) completed(open *openQuestion, line string) (Request, bool) {
	ofCommand := slices.DeleteFunc(slices.Clone(open.card.Choices),
		func(c Choice) bool { return c.Request.Command != open.call.Command })
	shared, is := inCommon(v.index, ofCommand)
	if !is {
		return Request{}, false
	}
	p, s := v.index.ReadProduct(line), v.index.ReadSetup(line)
	switch {
	case p.Known && shared.Instrument.Gauge > 0:
		shared.Product = p.Product
	case s.Known && len(s.Rest) == 0 && shared.Product.ID > 0:
		shared.Instrument, shared.Syringe = s.Instrument, s.Syringe
	default:
		return Request{}, false
	}
	again := about(open.call.Command, shared)
	for _, measure := range []string{"pull", "seconds"} {
		if said := open.card.Choices[0].Request.value(measure); said != "" {
			again = again.with(measure, said)
		}
	}
	return again, true
}

// inCommon is the gel and the needle that all choices share, each left out where they differ; false where one of them
// is no whole combination.
func inCommon(index *question.Index, choices []Choice) (shared trade.Combination, is bool) {
	for i, c := range choices {
		read := index.Read(c.Label)
		if read.Outcome != question.One {
			return shared, false
		}
		if i == 0 {
			shared = read.Combination()
		}
		if read.Product.ID != shared.Product.ID {
			shared.Product = trade.Product{}
		}
		if read.Instrument != shared.Instrument {
			shared.Instrument = trade.Instrument{}
		}
	}
	return shared, len(choices) > 0
}
