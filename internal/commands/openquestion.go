package commands

import (
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
)

// openQuestion is what waits for an answer: the call that was asked about, with what
// has been replied so far.
type openQuestion struct {
	call    *Call
	words   string // of the question, as far as they name a combination; "" for a test
	card    Card   // that asked
	confirm bool   // a yes, for its one choice, or a no answers it
	noTest  bool   // it asks which combination is meant, and stores nothing

	askedTwice bool
}

// isOfTest reports whether a test waits for its answer, to be stored.
func (o *openQuestion) isOfTest() bool { return o != nil && !o.noTest && o.call.Command == logName }

// read is what was read of the test that waits, as its card says it.
func (o *openQuestion) read() string {
	for _, f := range o.card.Facts {
		if f.Label == "Read" {
			return f.Text
		}
	}
	return strings.TrimRight(o.card.Title, ".?")
}

// hold keeps a question about a test open for whoever was asked, at the place where
// that was.
func (env *Env) hold(call *Call, line logline.Line, card Card, confirm bool) {
	kept := *call
	kept.view = view{} // it is read anew with the answer
	t := turn{open: &openQuestion{call: &kept, card: card, confirm: confirm}}
	if line.Setup.Outcome == question.One {
		t.combination, t.pullML = line.Setup.Combination(), line.PullML
	}
	env.remember(call.Request, t)
}

// keepLogged keeps with an open correction which test it is about: what is said next may correct it further.
func (env *Env) keepLogged(req Request, test int64) {
	last := env.recall(req)
	last.logged = test
	env.remember(req, last)
}

// replied is the request that an open question comes down to with a typed line as its
// answer; is is false for a line that does not answer it.
func (env *Env) replied(ctx context.Context, v view, req Request, last turn) (again Request, card *Card, is bool) {
	open := last.open
	line := strings.TrimSpace(lineOf(req))
	if open != nil && open.noTest {
		return env.chosen(v, req, last)
	}
	if open == nil || len(line) > maxValue || strings.HasSuffix(line, "?") {
		return req, nil, false
	}
	again, is = open.choice(line)
	yes, agrees := logline.Agrees(line)
	if !is && agrees && !yes {
		last.open = nil
		env.remember(req, last)
		return req, short("Nothing was stored."), true
	}
	if !is {
		again, is = env.answered(ctx, v, open, line, yes)
	}
	if !is {
		return req, nil, false
	}
	return env.closed(req, last, again), nil, true
}

// closed is the request that an answer came down to, of whoever gave it; nothing is
// open any longer.
func (env *Env) closed(req Request, last turn, again Request) Request {
	last.open = nil
	env.remember(req, last)
	again.Asker, again.Place = req.Asker, req.Place
	if again.Key == "" {
		again.Key = req.Key
	}
	return again
}

// choice is the choice whose label was typed, or the yes or no that it begins with.
func (o *openQuestion) choice(line string) (Request, bool) {
	for _, c := range o.card.Choices {
		if head, _, _ := strings.Cut(c.Label, ":"); strings.EqualFold(c.Label, line) || strings.EqualFold(head, line) {
			return c.Request, true
		}
	}
	return Request{}, false
}

// answered is the open request with one reply more, if that answers it.
func (env *Env) answered(ctx context.Context, v view, open *openQuestion, line string, yes bool) (Request, bool) {
	if open.confirm {
		return open.card.Choices[0].Request, yes
	}
	call := *open.call
	call.view = v
	read, _, err := readTest(ctx, env, &call)
	if err != nil || read.Setup.Outcome != question.One || read.Ask == nil {
		return v.named(open, line)
	}
	said := v.index.ReadSides(line)
	if len(said.Products)+len(said.Instruments) > 0 || !read.Ask.OfResult() && logsAnother.MatchString(line) {
		return Request{}, false // of a test of its own
	}
	_, understood := read.Answered(line, v.now)
	return open.call.replying(line), understood
}

// named is the open request with the gel or the needle that it asked about.
func (v view) named(open *openQuestion, line string) (Request, bool) {
	if again, is := open.pointedAt(line); is {
		return again, true
	}
	if p := v.index.ReadProduct(line); p.Known {
		return open.call.with(productOption, p.Product.Name), true
	}
	if s := v.index.ReadSetup(line); s.Known && len(s.Rest) == 0 && open.call.value(productOption) != "" {
		return open.call.with(instrumentOption, s.Instrument.Name()), true
	}
	return Request{}, false
}

// logsAnother is a line that logs a result of its own, "log 5 s", and is no answer to what is asked of the one before.
var logsAnother = regexp.MustCompile(`(?i)^log\b.*\d`)

var labelWord = regexp.MustCompile(`[a-z]+|\d+`)

// besideLabel are the words that people put around those of a label.
var besideLabel = strings.Fields("the a an one please it s its is was i mean meant sorry with on in ok then just and " +
	"what about how for using")

// pointedAt is the choice that a line names by its place, "the second one", or by
// words of its label that no other one has: "firm", "13mm".
func (o *openQuestion) pointedAt(line string) (Request, bool) {
	choices := o.card.Choices
	if i := logline.Nth(line, len(choices)); i >= 0 {
		return choices[i].Request, true
	}
	if fits := o.saying(line); len(fits) == 1 && len(choices) > 1 {
		return fits[0].Request, true
	}
	return Request{}, false
}

// saying are the choices whose labels have every word of a line, none for a line that
// has no word of its own.
func (o *openQuestion) saying(line string) []Choice {
	said := slices.DeleteFunc(labelWord.FindAllString(strings.ToLower(line), -1),
		func(w string) bool { return slices.Contains(besideLabel, w) })
	if len(said) == 0 {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(o.card.Choices), func(c Choice) bool {
		label := labelWord.FindAllString(strings.ToLower(c.Label), -1)
		return slices.ContainsFunc(said, func(w string) bool { return !slices.Contains(label, w) })
	})
}

// askToTakeBack shows the asker's own latest test and asks whether it is to be taken
// back.
func (env *Env) askToTakeBack(ctx context.Context, req Request) *Card {
	test, there, err := latestTest(ctx, env, req.Asker, knowledge.Kept)
	if err != nil {
		return nil // whoever answers meets the same fault and tells it
	}
	if !there {
		return short("You have no test to take back.", Action{Label: "log one", Request: Request{Command: logName}})
	}
	number := strconv.FormatInt(test.ID, 10)
	back := Request{Command: withdrawName, Values: map[string]string{testOption: number}}
	c := Card{Title: "Take back test " + number + ", " + test.Combination.String() + "?"}
	c.fact("The test", "%s", testWords(test))
	c.line("Nothing is changed before a yes.")
	c.Choices = []Choice{{Label: "yes, take it back", Request: back}}
	open := &openQuestion{call: &Call{Request: back}, card: c, confirm: true}
	env.remember(req, turn{combination: test.Combination, open: open})
	return &c
}

// latestTest is the test that the asker logged last, of those in a state; of all for
// none.
func latestTest(ctx context.Context, env *Env, asker Asker, state knowledge.State) (latest knowledge.BenchTest,
	there bool, err error) {
	m, err := env.Group.Member(ctx, asker.Ref)
	if isNotFound(err) {
		return latest, false, nil
	}
	if err != nil {
		return latest, false, err
	}
	tests, err := env.Group.Tests(ctx, knowledge.TestFilter{TesterID: m.ID, State: state})
	for _, t := range tests {
		if t.ID > latest.ID {
			latest = t
		}
	}
	return latest, len(tests) > 0, err
}
