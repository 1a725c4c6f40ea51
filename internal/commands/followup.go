package commands

import (
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

// words reports whether a request is a typed line and nothing else: what a button, a
// form or an option says is whole as it is.
func (r Request) words() bool {
	return r.About == "" && len(r.Values) == 0 && r.Filled == nil && r.Post == nil && len(r.Replies) == 0
}

// goOn reads a typed line as about the asker's last question, or as talk: it gives
// back the request that the line comes down to, or the card that answers it.
func goOn(ctx context.Context, env *Env, req Request) (Request, *Card) {
	if env.Group == nil || !req.words() || !req.Asker.Role.Covers(anyMember) {
		return req, nil
	}
	v, err := env.view(ctx)
	if err != nil {
		return req, nil // whoever answers meets the same fault and tells it
	}
	line, last := lineOf(req), env.recall(req)
	if again, card, is := env.replied(ctx, v, req, last); is {
		return again, card
	}
	kind := question.ReadTalk(line)
	switch {
	case kind == question.TakeBack:
		if card := env.askToTakeBack(ctx, req); card != nil {
			return req, card
		}
	case slices.Contains(notOfTheLast, kind) && req.Command == holdName && v.index.Read(line).Outcome != question.One:
		return req, talkOf(kind, last)
	}
	if last.logged > 0 {
		if again, is := v.correctsLogged(req, last); is {
			return again, nil
		}
	}
	asksOn := req.Command == holdName || req.Command == logName || slices.Contains(askedOn, req.Command)
	if another := anotherResult.FindStringSubmatch(line); another != nil && last.logged > 0 {
		line = "log " + another[1]
	}
	if last.combination.Product.ID != 0 && asksOn {
		if f, is := v.index.ReadFollowUp(line, last.combination); is && !(last.open != nil && last.sameAs(f)) &&
			!(f.Ask == question.AskHold && f.BySeconds > 0 && question.TellsResult(line)) { // "blood at 5 s on the bench"
			return env.follow(req, last, f)
		}
	}
	if card := env.askWhetherLogged(v, req, last); card != nil {
		return req, card
	}
	if read := v.index.Read(line); req.Command == holdName && read.Outcome != question.One {
		if card := talk(kind); card != nil {
			return req, card
		}
		if text := say.Meaning(question.AsksMeaning(line)); text != "" {
			return req, short(text, Action{Label: "how the numbers are made", Request: Request{Command: methodName}})
		}
		if last.open != nil && asksAgain(last.open, line, read, v.index) { // neither an answer nor a question
			open := *last.open
			open.askedTwice = open.noTest // what is said after that may be of something else
			last.open = &open
			env.remember(req, last)
			return open.call.Request, &open.card
		}
	}
	return req, nil
}

// notOfTheLast is talk that could be read as about the last combination, and asks for no hold.
var notOfTheLast = []question.Talk{question.AsksWhoStocks, question.RanOut, question.TakesOn}

// mostWordsOfAPick is how long a line may be that tries to pick one of several combinations: "the short one please".
const mostWordsOfAPick = 5

// asksAgain reports whether an open question is asked again after a line that neither answers it nor asks another.
func asksAgain(open *openQuestion, line string, read question.Reading, index *question.Index) bool {
	said := index.ReadSides(line)
	if !open.noTest {
		return len(said.Products)+len(said.Instruments) == 0
	}
	return !open.askedTwice && read.Outcome == question.Unclear && said.Problem == "" &&
		len(strings.Fields(line)) <= mostWordsOfAPick
}

// anotherResult is a result that is told of the combination that was logged last: "and 13.3", "14.1 s".
var anotherResult = regexp.MustCompile(
	`(?i)^(?:(?:and|then|next|another|und|et|y|e|en|i)\b[\s,:]*)?(\d{0,3}[.,]\d+|\d{1,3}(?:[.,]\d+)?\s*` +
		quantity.SecondUnit + `)[\s.!]*$`,
)

// correctsLogged is the correction of the test just logged that a line comes down to:
// "sorry, 2.54", "should have been the 30G". Whether it is made is asked there.
func (v view) correctsLogged(req Request, last turn) (again Request, is bool) {
	change, opens := question.ReadCorrection(strings.TrimRight(lineOf(req), " .!"))
	if !opens {
		return req, false
	}
	read := logline.ReadChange(last.combination, change, v.index, v.now)
	if read.Setup.Outcome != question.One || read.Ask != nil || read.Asks || read.Note != "" {
		return req, false
	}
	if last.open != nil && last.open.call.Command == correctName { // asked about, and not agreed to yet
		first := last.open.call.value(changeOption)
		if _, err := quantity.Number(first); err == nil {
			first += " s" // a number alone is seconds, and beside another word could be a size
		}
		change = first + ", " + change
	}
	again = Request{Command: correctName, Asker: req.Asker, Place: req.Place, Key: req.Key}
	return again.with(testOption, strconv.FormatInt(last.logged, 10)).with(changeOption, change), true
}

// sameAs reports whether a follow-up names nothing but seconds: while a question is
// open that is rather a try at its answer.
func (t turn) sameAs(f question.FollowUp) bool {
	return f.Ask == question.AskHold && f.PullML == 0 && len(f.Options) == 1 && pin(f.Options[0]) == pin(t.combination)
}

// askedOn are the commands whose word may ask on about the last question.
var askedOn = []string{whyName, testsName, pictureName}

// commandOf are the commands that answer what can be asked on.
var commandOf = map[question.Ask]string{
	question.AskHold: holdName, question.AskWhy: whyName, question.AskTests: testsName,
	question.AskPicture: pictureName,
	question.AskLog:     logName,
}

// follow is the request that a follow-up comes down to. What is to be logged is asked
// about once, and what is open with its choices.
func (env *Env) follow(req Request, last turn, f question.FollowUp) (Request, *Card) {
	pullML := last.pullML
	if f.PullML > 0 {
		pullML = f.PullML
	}
	if f.Ask == question.AskLog {
		return req, env.askToLog(req, last, f)
	}
	command := commandOf[f.Ask]
	requests := make([]Request, len(f.Options))
	for i, c := range f.Options {
		requests[i] = req.about(command, c).withMeasures(find(catalogue, command), pullML, f.BySeconds)
	}
	if len(requests) == 1 {
		on := requests[0]
		on.Place, on.Key = req.Place, req.Key
		return on, nil
	}
	c := Card{Title: f.Problem}
	c.line("Pick one, or write it out.")
	for i, r := range requests {
		c.Choices = append(c.Choices, Choice{Label: stockWords(f.Options[i]), Request: r})
	}
	env.openChoice(req, "", last, c)
	return req, &c
}

// askToLog asks once whether a result is to be logged for the last combination.
func (env *Env) askToLog(req Request, last turn, f question.FollowUp) *Card {
	log := Request{Command: logName, Asker: req.Asker, Values: combinationValues(last.combination)}
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
	c.line("Nothing is stored before a yes.")
	c.Choices = []Choice{{Label: "yes, log it", Request: log}}
	last.open = &openQuestion{call: &Call{Request: log}, card: c, confirm: true}
	env.remember(req, last)
	return &c
}

// combinationValues are the options that name a combination.
func combinationValues(c trade.Combination) map[string]string {
	return map[string]string{
		productOption: c.Product.Name, instrumentOption: c.Instrument.Name(), syringeOption: c.Syringe.Name,
	}
}
