package commands

import (
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
)

// awaitChoice keeps a question open that asks which combination is meant, so that a few words settle it as a pick
// would. words are those that were read; "" where the next line is not to be read together with them.
func (env *Env) awaitChoice(req Request, words string, last turn, card Card) {
	if len(card.Choices) > 0 {
		last.open = &openQuestion{call: &Call{Request: req}, words: words, card: card, asksWhich: true}
		env.remember(req, last)
	}
}

// chooses is a line that says which combination is meant: the request of that one, or the choices that the line leaves.
func (l typedLine) chooses() *reply {
	open := l.last.open
	goesOn := l.last.combination.Product.ID != 0 && strings.HasSuffix(l.text, "?") // about the combination before
	if len(l.text) > maxValue || goesOn || l.req.Command != holdName {
		return nil
	}
	choices := open.card.Choices
	if r := l.agreesTo(choices); r != nil {
		return r
	}
	again, is := open.choice(l.text)
	if !is {
		again, is = open.pointedAt(l.text)
	}
	if !is && question.ReadTalk(l.text) != question.NoTalk {
		return nil // "who has dunmere deep?" asks something else
	}
	if !is {
		again, is = l.addsTo(open)
	}
	if is {
		return l.settles(again)
	}
	if r := l.choosesAnother(choices); r != nil {
		return r
	}
	if fits := open.saying(l.text); len(fits) > 1 && len(fits) < len(choices) {
		left := open.card
		left.Choices = fits
		l.env.awaitChoice(open.call.Request, open.words, l.last, left)
		return l.answer(&left)
	}
	return nil
}

// agreesTo is a yes to the only choice, or to the first where that stores a test; or a no to all of them.
func (l typedLine) agreesTo(choices []Choice) *reply {
	yes, agrees := logline.Agrees(l.text)
	stores := choices[0].Request.Command == logName
	switch {
	case agrees && !yes && stores:
		return l.leavesOpen(short("Nothing was stored."))
	case agrees && !yes:
		return l.leavesOpen(short("Left open. Which gel, on which needle or cannula?",
			way("what can be asked", helpName)))
	case yes && (len(choices) == 1 || stores):
		return l.settles(choices[0].Request)
	}
	return nil
}

// choosesAnother is a choice that a line names by its place with something changed: "the first one on 19mm".
func (l typedLine) choosesAnother(choices []Choice) *reply {
	i, then := logline.NthThen(l.text, len(choices))
	if i < 0 {
		return nil
	}
	read := l.index.Read(choices[i].Label)
	if read.Outcome != question.One {
		return nil
	}
	f, is := l.index.ReadFollowUp(then, read.Combination())
	if !is || f.Ask != question.AskHold {
		return nil
	}
	l.last.open, l.last.pullML = nil, read.PullML
	return l.follow(f)
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

// addsTo is the open question with what a line adds to its words: "8 mm, is 4 s enough" where gel and gauge were said,
// or another gel on its needle, another needle for its gel.
func (l typedLine) addsTo(open *openQuestion) (Request, bool) {
	index := l.index
	if open.words == "" || question.TellsResult(l.text) || index.Read(l.text).Outcome == question.One {
		return Request{}, false
	}
	before, read := index.Read(open.words), index.Read(open.words+", "+l.text)
	said, added := index.ReadSides(open.words), index.ReadSides(l.text)
	more := read.Problem != before.Problem || read.BySeconds != before.BySeconds || read.PullML != before.PullML
	narrows := len(read.Choices) <= len(before.Choices) && (len(said.Products) == 0 || len(added.Products) == 0)
	if read.Outcome == question.One || read.Outcome == question.Choose && more && narrows {
		return open.asking(open.words + ", " + l.text), true
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
	again := open.asking(kept + ", " + l.text)
	return again.withMeasures(find(catalogue, again.Command), before.PullML, before.BySeconds), true
}

// asking is the open request with other words for the combination; what else it says stays.
func (o *openQuestion) asking(words string) Request {
	again := o.call.withoutNames()
	again.Text, again.About, again.Typed = words, "", false
	return again
}
