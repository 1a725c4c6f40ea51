package commands

import (
	"cmp"
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

// typedAlone reports whether a request is a typed line and nothing else. A button, a form or an option leaves nothing
// to be read from the conversation.
func (r Request) typedAlone() bool {
	return r.About == "" && len(r.Values) == 0 && r.Filled == nil && r.Post == nil && len(r.Replies) == 0
}

// typedLine is a typed line, with what its writer asked last in the same place.
type typedLine struct {
	view
	env  *Env
	req  Request
	text string
	last turn
	read question.Reading // of a line that opens no command
}

// reply is what to do with a typed line: show the card or, where that is nil, answer the request.
type reply struct {
	request Request
	card    *Card
}

// answer is the reply by a card.
func (l typedLine) answer(c *Card) *reply { return &reply{l.req, c} }

// goOn reads a typed line as about the asker's last question, or as talk: it returns the request that the line stands
// for, or the card that answers it.
func goOn(ctx context.Context, env *Env, req Request) (Request, *Card) {
	if env.Group == nil || !req.typedAlone() || !req.Asker.Role.Covers(anyMember) {
		return req, nil
	}
	v, err := env.view(ctx)
	if err != nil {
		return req, nil // the command meets the same fault and reports it
	}
	l := typedLine{view: v, env: env, req: req, text: strings.TrimSpace(lineOf(req)), last: env.recall(req)}
	if req.Command == holdName {
		l.read = v.index.Read(l.text)
	}
	for _, read := range []func(context.Context) *reply{
		l.answersOpen, l.takesBack, l.talksOfLast, l.correctsLogged, l.followsUp, l.tellsResult, l.talks, l.missesOpen,
	} {
		if r := read(ctx); r != nil {
			return r.request, r.card
		}
	}
	return req, nil
}

// asksNoHold reports whether a line opens no command and names no combination: it may be talk.
func (l typedLine) asksNoHold() bool {
	return l.req.Command == holdName && l.read.Outcome != question.One
}

// aboutLast is talk that could be read as about the last combination, and asks for no hold.
var aboutLast = []question.Talk{question.AsksWhoStocks, question.RanOut, question.TakesOn}

// talksOfLast answers such talk.
func (l typedLine) talksOfLast(context.Context) *reply {
	if kind := question.ReadTalk(l.text); slices.Contains(aboutLast, kind) && l.asksNoHold() {
		return l.answer(talkOf(kind, l.last))
	}
	return nil
}

// talks answers what is no question about a hold.
func (l typedLine) talks(context.Context) *reply {
	if !l.asksNoHold() {
		return nil
	}
	if card := talk(question.ReadTalk(l.text)); card != nil {
		return l.answer(card)
	}
	if text := say.Meaning(question.AsksMeaning(l.text)); text != "" {
		return l.answer(short(text, way("how the numbers are made", methodName)))
	}
	return nil
}

// mostWordsOfAPick is how long a line may be that tries to pick one of several combinations: "the short one please".
const mostWordsOfAPick = 5

// missesOpen asks an open question again, after a line that neither answers it nor asks another. Which combination is
// meant is asked again once: what is said after that may be about something else.
func (l typedLine) missesOpen(context.Context) *reply {
	if l.last.open == nil || !l.asksNoHold() {
		return nil
	}
	open, said := *l.last.open, l.index.ReadSides(l.text)
	switch {
	case !open.asksWhich && len(said.Products)+len(said.Instruments) > 0,
		open.asksWhich && (open.askedTwice || l.read.Outcome != question.Unclear || said.Problem != "" ||
			len(strings.Fields(l.text)) > mostWordsOfAPick):
		return nil
	}
	open.askedTwice = open.asksWhich
	l.last.open = &open
	l.env.remember(l.req, l.last)
	return &reply{open.call.Request, &open.card}
}

// anotherResult is one more result of the combination that was logged last: "and 13.3", "14.1 s".
var anotherResult = regexp.MustCompile(
	`(?i)^(?:(?:and|then|next|another|und|et|y|e|en|i)\b[\s,:]*)?(\d{0,3}[.,]\d+|\d{1,3}(?:[.,]\d+)?\s*` +
		quantity.SecondUnit + `)[\s.!]*$`,
)

// correctsLogged is the correction of the test that was just logged: "sorry, 2.54", "should have been the 30G". Its
// command asks whether to make it.
func (l typedLine) correctsLogged(context.Context) *reply {
	change, opens := question.ReadCorrection(strings.TrimRight(l.text, " .!"))
	if l.last.logged == 0 || !opens {
		return nil
	}
	read := logline.ReadChange(l.last.combination, change, l.index, l.now)
	if read.Setup.Outcome != question.One || read.Ask != nil || read.Asks || read.Note != "" {
		return nil
	}
	if open := l.last.open; open != nil && open.call.Command == correctName { // not agreed to yet
		first := open.call.value(changeOption)
		if _, err := quantity.Number(first); err == nil {
			first += " s" // alone a number is seconds; after a comma it could be a size
		}
		change = first + ", " + change
	}
	again := Request{Command: correctName, Asker: l.req.Asker, Place: l.req.Place, Key: l.req.Key}
	again = again.with(testOption, strconv.FormatInt(l.last.logged, 10))
	return &reply{request: again.with(changeOption, change)}
}

// askedOn are the commands whose word may ask on about the last question.
var askedOn = []string{holdName, logName, whyName, testsName, pictureName}

// followsUp is a line that asks on about the last combination. While a question is open, a line that names nothing but
// seconds is rather a try at its answer; "blood at 5 s on the bench" tells a result.
func (l typedLine) followsUp(context.Context) *reply {
	if l.last.combination.Product.ID == 0 || !slices.Contains(askedOn, l.req.Command) {
		return nil
	}
	text := l.text
	if another := anotherResult.FindStringSubmatch(text); another != nil && l.last.logged > 0 {
		text = "log " + another[1]
	}
	f, is := l.index.ReadFollowUp(text, l.last.combination)
	if !is || l.last.open != nil && l.last.sameAs(f) ||
		f.Ask == question.AskHold && f.BySeconds > 0 && question.TellsResult(text) {
		return nil
	}
	return l.follow(f)
}

// sameAs reports whether a follow-up names nothing but seconds.
func (t turn) sameAs(f question.FollowUp) bool {
	return f.Ask == question.AskHold && f.PullML == 0 && len(f.Options) == 1 && pin(f.Options[0]) == pin(t.combination)
}

// commandOf are the commands that answer a follow-up.
var commandOf = map[question.Ask]string{
	question.AskHold: holdName, question.AskWhy: whyName, question.AskTests: testsName,
	question.AskPicture: pictureName,
	question.AskLog:     logName,
}

// follow is the reply to a follow-up. A test to log is asked about once; where several combinations fit, they are
// the choices.
func (l typedLine) follow(f question.FollowUp) *reply {
	if f.Ask == question.AskLog {
		return l.askToLog(f)
	}
	command, pullML := commandOf[f.Ask], cmp.Or(f.PullML, l.last.pullML)
	requests := make([]Request, len(f.Options))
	for i, c := range f.Options {
		requests[i] = l.req.about(command, c).withMeasures(find(catalogue, command), pullML, f.BySeconds)
	}
	if len(requests) == 1 {
		on := requests[0]
		on.Place, on.Key = l.req.Place, l.req.Key
		return &reply{request: on}
	}
	c := Card{Title: f.Problem}
	c.line("Pick one, or write it out.")
	for i, r := range requests {
		c.Choices = append(c.Choices, Choice{Label: stockWords(f.Options[i]), Request: r})
	}
	l.env.awaitChoice(l.req, "", l.last, c)
	return l.answer(&c)
}

// askToLog asks once whether a result is to be logged for the last combination.
func (l typedLine) askToLog(f question.FollowUp) *reply {
	last := l.last
	log := Request{Command: logName, Asker: l.req.Asker, Values: combinationValues(last.combination)}
	result := trimNumber(f.Result) + " s"
	log.Values["seconds"] = trimNumber(f.Result)
	if f.Result == 0 {
		result, log.Values["seconds"] = "none", "none"
		if f.WatchedS > 0 {
			result += " in " + trimNumber(f.WatchedS) + " s"
			log.Values["watched"] = trimNumber(f.WatchedS)
		}
	}
	if last.pullML > 0 {
		log.Values["pull"] = trimNumber(last.pullML)
		result += ", pull " + log.Values["pull"] + " mL,"
	}
	c := Card{Title: "Log " + result + " for " + last.combination.String() + "?"}
	c.line("Nothing is stored until you say yes.")
	c.Choices = []Choice{{Label: "yes, log it", Request: log}}
	last.open = &openQuestion{call: &Call{Request: log}, card: c, confirm: true}
	l.env.remember(l.req, last)
	return l.answer(&c)
}

// combinationValues are the options that name a combination.
func combinationValues(c trade.Combination) map[string]string {
	return map[string]string{
		productOption: c.Product.Name, instrumentOption: c.Instrument.Name(), syringeOption: c.Syringe.Name,
	}
}
