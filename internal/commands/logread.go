package commands

import (
	"context"
	"errors"
	"slices"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// logPlain keeps the words of a log line for the command, which reads them together with the options.
func logPlain(_ context.Context, _ *Env, call *Call) error {
	call.said, call.text = call.text, ""
	return nil
}

// logFields are the options of a test other than its combination, in the order in which they go on the line: the marks
// of a film need its rate first.
var logFields = []struct {
	option string
	field  logline.Field
}{
	{"timing", logline.Timing}, {"seconds", logline.Result}, {"watched", logline.Watched}, {"pull", logline.Pull},
	{"liquid", logline.Liquid}, {"temperature", logline.Temperature}, {"date", logline.Date}, {lotOption, logline.Lot},
}

// leaveNoteOut is the reply that stores a test without its note.
const leaveNoteOut = "leave the note out"

// readLog is the test that a request logs: its words, its options and the replies to questions about them. more are the
// replies to which the line had no question.
//
// Errors: *UserError, *trade.FieldError, *questionBack.
func readLog(call *Call) (line logline.Line, more []string, err error) {
	known, err := knownParts(call)
	if err != nil {
		return line, nil, err
	}
	if call.said != "" {
		line = logline.ReadLogOf(known, call.said, call.index, call.now)
	} else {
		line.Setup = question.Reading{Outcome: question.One, Product: *known.Product, Instrument: *known.Instrument}
		if known.Syringe != nil {
			line.Setup.Syringe = *known.Syringe
		}
	}
	if err := putOptions(&line, call); err != nil {
		return line, nil, err
	}
	line, more = withReplies(line, call)
	if note := call.value("note"); note != "" {
		line.Note = note
	}
	if slices.Contains(call.Replies, leaveNoteOut) {
		line.Note = ""
	}
	return line, more, nil
}

// withReplies is a line with its questions answered by the replies; more are the replies to which it had no question.
func withReplies(line logline.Line, call *Call) (answered logline.Line, more []string) {
	replies := call.Replies
	for len(replies) > 0 && line.Ask != nil {
		again, understood := line.Answered(replies[0], call.now)
		if !understood {
			break
		}
		line, replies = again, replies[1:]
	}
	return line, replies
}

// readTest is what a request to log or to correct a test says.
func readTest(ctx context.Context, env *Env, call *Call) (logline.Line, []string, error) {
	switch call.Command {
	case correctName:
		return readChange(ctx, env, call)
	case classLogName:
		return readClassTest(ctx, env, call)
	}
	return readLog(call)
}

// putOptions puts the options of a test on its line.
func putOptions(line *logline.Line, call *Call) error {
	for _, f := range logFields {
		if value := call.value(f.option); value != "" {
			if err := line.Put(f.field, value, call.now); err != nil {
				return optionProblem(call.cmd, f.option, value, err)
			}
		}
	}
	return nil
}

// optionProblem is the fault of an option as a *UserError; other errors stay as they are.
func optionProblem(cmd *Command, name, value string, err error) error {
	var p *quantity.Problem
	if errors.As(err, &p) {
		return refuse(cmd.optionHelp(name), "The %s cannot be %s: %s", name, echo(value), p.Why)
	}
	return err
}

// optionHelp says what the option of that name takes, "" for none.
func (cmd *Command) optionHelp(name string) string {
	if cmd == nil || cmd.option(name) == nil {
		return ""
	}
	return cmd.option(name).accepts()
}

// knownParts are the parts of the combination that the options of a test name, each read as a whole name. A needle or a
// syringe need not be on the list.
//
// Errors: *questionBack, *UserError, *trade.FieldError.
func knownParts(call *Call) (known question.Stated, err error) {
	if name := call.value(productOption); name != "" {
		p, err := productAsked(call)
		if err != nil {
			return known, err
		}
		known.Product = &p
	}
	if name := call.value(instrumentOption); name != "" {
		in, err := namedInstrument(call)
		if err != nil {
			return known, err
		}
		known.Instrument = &in
		if read := call.index.ReadSetup(name); read.Known && !read.Syringe.IsSupplied() {
			known.Syringe = &read.Syringe
		}
	}
	if name := call.value(syringeOption); name != "" {
		s, err := trade.ReadSyringe(name)
		if err != nil {
			return known, err
		}
		known.Syringe = &s
	}
	return known, nil
}

// whichSetup asks which combination a line is about.
func whichSetup(call *Call, line logline.Line) Card {
	c := Card{Title: line.Setup.Problem}
	if line.Setup.Hint != "" {
		c.line("%s", line.Setup.Hint)
	}
	fixed := slices.ContainsFunc(line.Picks,
		func(p question.Choice) bool { return p.Stated.Syringe != nil && p.Stated.Syringe.FixedNeedle })
	for _, pick := range line.Picks {
		again := call.Request
		if pick.Stated.Product != nil {
			again = again.with(productOption, pick.Stated.Product.Name)
		}
		if pick.Stated.Instrument != nil {
			again = again.with(instrumentOption, pick.Stated.Instrument.Name())
		}
		if s := pick.Stated.Syringe; s != nil && fixed {
			again = again.with(syringeOption, s.Filled().Name)
		}
		c.Choices = append(c.Choices, Choice{Label: pick.Label, Request: again})
	}
	c.Refused = len(c.Choices) == 0
	return c
}

// replyCard asks about a test before it is stored: what was read of its line, and the possible answers.
func replyCard(call *Call, title string, line logline.Line, ways []logline.Answer) Card {
	c := Card{Title: title}
	if read := readSoFar(line); read != "" {
		c.fact("Read", "%s", read)
	}
	c.line("Nothing is stored until that is answered.")
	for _, a := range ways {
		c.Choices = append(c.Choices, Choice{Label: a.Label, Request: call.replying(a.Say)})
	}
	return c
}

// replying is the request with one more reply.
func (r Request) replying(say string) Request {
	r.Replies = append(slices.Clone(r.Replies), say)
	return r
}

// readSoFar is what was read of a line, in words.
func readSoFar(line logline.Line) string {
	var parts []string
	if line.Setup.Outcome == question.One {
		parts = append(parts, stockWords(line.Setup.Combination()))
	}
	for _, o := range line.Outcomes {
		switch {
		case o.Flashback:
			parts = append(parts, o.Typed+" s")
		case o.WatchedS > 0:
			parts = append(parts, "none in "+exactSeconds(o.WatchedS))
		default:
			parts = append(parts, "none")
		}
	}
	if line.PullML > 0 {
		parts = append(parts, "pull "+trimNumber(line.PullML)+" mL")
	}
	if line.Liquid != "" {
		parts = append(parts, line.Liquid)
	}
	if line.LiquidC != nil {
		parts = append(parts, trimNumber(*line.LiquidC)+" °C")
	}
	if line.Timing != nil {
		parts = append(parts, line.Timing.String())
	}
	if !line.Day.IsZero() {
		parts = append(parts, line.Day.Format(dateForm))
	}
	return strings.Join(parts, ", ")
}
