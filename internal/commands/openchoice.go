package commands

import (
	"maps"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// openChoice keeps a question open that asks which combination is meant, so that a few
// words settle it as a pick would; words are those that were read, "" where what is said next adds nothing to them.
func (env *Env) openChoice(req Request, words string, last turn, card Card) {
	if len(card.Choices) > 0 {
		last.open = &openQuestion{call: &Call{Request: req}, words: words, card: card, noTest: true}
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
	if !is && question.ReadTalk(line) != question.NoTalk {
		return req, nil, false // "who has dunmere deep?" asks something else
	}
	if !is {
		again, is = v.continued(open, line)
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
		env.openChoice(open.call.Request, open.words, last, left)
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

// onlyChoice is a turn about the one choice that there is: a short line goes on from it. Of several it is about none.
func onlyChoice(index *question.Index, choices []Choice) (t turn) {
	if len(choices) == 1 {
		if read := index.Read(choices[0].Label); read.Outcome == question.One {
			t.combination, t.pullML = read.Combination(), read.PullML
		}
	}
	return t
}

// continued is the open question with what a line adds to its words: "8 mm, is 4 s enough" where gel and gauge were
// said, or another gel on its needle, another needle for its gel.
func (v view) continued(open *openQuestion, line string) (Request, bool) {
	index := v.index
	if open.words == "" || question.TellsResult(line) || index.Read(line).Outcome == question.One {
		return Request{}, false
	}
	before, read := index.Read(open.words), index.Read(open.words+", "+line)
	said, added := index.ReadSides(open.words), index.ReadSides(line)
	more := read.Problem != before.Problem || read.BySeconds != before.BySeconds || read.PullML != before.PullML
	anotherGel := len(said.Products) > 0 && len(added.Products) > 0
	if read.Outcome == question.One || read.Outcome == question.Choose && more && !anotherGel &&
		!strings.HasPrefix(read.Problem, severalNamed) {
		return open.asking(open.words + ", " + line), true
	}
	kept := ""
	switch {
	case len(said.Products) == 1 && len(added.Products) == 0 && len(added.Instruments) > 0:
		kept = said.Products[0].Name
	case len(said.Instruments) == 1 && len(added.Instruments) == 0 && len(added.Products) > 0:
		kept = index.InstrumentName(said.Instruments[0])
	default:
		return Request{}, false
	}
	again := open.asking(kept + ", " + line)
	return again.withMeasures(find(catalogue, again.Command), before.PullML, before.BySeconds), true
}

// severalNamed begins what a reading says of a text that names two of a kind: what was added is of something else.
const severalNamed = "More than one"

// asking is the open request with other words for the combination; what else it says stays.
func (o *openQuestion) asking(words string) Request {
	again := o.call.Request
	again.Values = maps.Clone(again.Values)
	for _, name := range []string{productOption, instrumentOption, syringeOption} {
		delete(again.Values, name)
	}
	again.Text, again.About, again.Typed = words, "", false
	return again
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
