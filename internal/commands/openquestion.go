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
	"holdbench/internal/knowledge"
)

// openQuestion waits for an answer: the call that was asked about, with what has been replied so far.
type openQuestion struct {
	call       *Call
	words      string // of the question, as far as they name a combination; "" for a test
	card       Card   // that asked
	confirm    bool   // a yes, for its one choice, or a no answers it
	asksWhich  bool   // it asks which combination is meant, and stores nothing
	askedTwice bool
}

// isOfTest reports whether a test waits for the answer, to be stored.
func (o *openQuestion) isOfTest() bool { return o != nil && !o.asksWhich && o.call.Command == logName }

// read is what was read of the test that waits, as its card says it.
func (o *openQuestion) read() string {
	for _, f := range o.card.Facts {
		if f.Label == "Read" {
			return f.Text
		}
	}
	return strings.TrimRight(o.card.Title, ".?")
}

// awaitAnswer keeps a question about a test open for whoever was asked, in the place where that was. logged is the test
// that the question is to correct, 0 for none: what is said next may correct it further.
func (env *Env) awaitAnswer(call *Call, line logline.Line, card Card, confirm bool, logged int64) {
	kept := *call
	kept.view = view{} // it is read anew with the answer
	t := turn{open: &openQuestion{call: &kept, card: card, confirm: confirm}, logged: logged}
	if line.Setup.Outcome == question.One {
		t.combination, t.pullML = line.Setup.Combination(), line.PullML
	}
	env.remember(call.Request, t)
}

// answersOpen is a line that answers the question that is open.
func (l typedLine) answersOpen(ctx context.Context) *reply {
	open := l.last.open
	switch {
	case open == nil:
		return nil
	case open.asksWhich:
		return l.chooses()
	case len(l.text) > maxValue || strings.HasSuffix(l.text, "?"):
		return nil
	}
	again, is := open.choice(l.text)
	yes, agrees := logline.Agrees(l.text)
	switch {
	case is:
	case agrees && !yes:
		return l.leavesOpen(short("Nothing was stored."))
	default:
		again, is = l.answered(ctx, open, yes)
	}
	if !is {
		return nil
	}
	return l.settles(again)
}

// settles is the reply by the request that the line's answer came down to. Nothing is open any longer.
func (l typedLine) settles(again Request) *reply {
	l.close()
	again.Asker, again.Place = l.req.Asker, l.req.Place
	again.Key = cmp.Or(again.Key, l.req.Key)
	return &reply{request: again}
}

// leavesOpen is the reply to a no.
func (l typedLine) leavesOpen(c *Card) *reply {
	l.close()
	return l.answer(c)
}

// close drops the open question.
func (l typedLine) close() {
	l.last.open = nil
	l.env.remember(l.req, l.last)
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
func (l typedLine) answered(ctx context.Context, open *openQuestion, yes bool) (Request, bool) {
	if open.confirm {
		return open.card.Choices[0].Request, yes
	}
	call := *open.call
	call.view = l.view
	read, _, err := readTest(ctx, l.env, &call)
	if err != nil || read.Setup.Outcome != question.One || read.Ask == nil {
		return l.names(open)
	}
	said := l.index.ReadSides(l.text)
	if len(said.Products)+len(said.Instruments) > 0 || !read.Ask.OfResult() && logsAnother.MatchString(l.text) {
		return Request{}, false // of a test of its own
	}
	_, understood := read.Answered(l.text, l.now)
	return open.call.replying(l.text), understood
}

// names is the open request with the gel or the needle that it asked about.
func (l typedLine) names(open *openQuestion) (Request, bool) {
	if again, is := open.pointedAt(l.text); is {
		return again, true
	}
	if p := l.index.ReadProduct(l.text); p.Known {
		return open.call.with(productOption, p.Product.Name), true
	}
	if s := l.index.ReadSetup(l.text); s.Known && len(s.Rest) == 0 && open.call.value(productOption) != "" {
		return open.call.with(instrumentOption, s.Instrument.Name()), true
	}
	return Request{}, false
}

// logsAnother is a line that logs a result of its own, "log 5 s", and does not answer a question about the last one.
var logsAnother = regexp.MustCompile(`(?i)^log\b.*\d`)

var labelWord = regexp.MustCompile(`[a-z]+|\d+`)

// besideLabel are the words that people put around those of a label.
var besideLabel = strings.Fields("the a an one please it s its is was i mean meant sorry with on in ok then just and " +
	"what about how for using")

// pointedAt is the choice that a line names by its place, "the second one", or by words that no other label has:
// "firm", "13mm".
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

// saying are the choices whose labels have every word of a line; none for a line of besideLabel alone.
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

// takesBack shows the asker's own latest test and asks whether it is to be taken back: "undo that".
func (l typedLine) takesBack(ctx context.Context) *reply {
	if question.ReadTalk(l.text) != question.TakeBack {
		return nil
	}
	test, there, err := latestTest(ctx, l.env, l.req.Asker, knowledge.Kept)
	if err != nil {
		return nil // the command meets the same fault and reports it
	}
	if !there {
		return l.answer(short("You have no test to take back.", way("log one", logName)))
	}
	number := strconv.FormatInt(test.ID, 10)
	back := Request{Command: withdrawName, Values: map[string]string{testOption: number}}
	c := Card{Title: "Take back test " + number + ", " + test.Combination.String() + "?"}
	c.fact("The test", "%s", testWords(test))
	c.line("Nothing changes until you say yes.")
	c.Choices = []Choice{{Label: "yes, take it back", Request: back}}
	open := &openQuestion{call: &Call{Request: back}, card: c, confirm: true}
	l.env.remember(l.req, turn{combination: test.Combination, open: open})
	return l.answer(&c)
}

// latestTest is the test that the asker logged last of those in a state, "" for any.
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
