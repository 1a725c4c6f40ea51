package commands

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	batchName     = "bench results"
	resultsOption = "results"
	resultsField  = "results"
)

var batchCommand = &Command{
	Name:    batchName,
	Summary: "Log a bench session in one message: a label and its seconds, or none, for each",
	Help: "What is wrong is named label by label; what is right is logged and leaves the box, the rest stays there. " +
		"Several results of one syringe stand behind its label, a note in brackets behind a result. The other " +
		"options hold for all of them.",
	Free:     true,
	FreeHelp: "as in: B-1 3.4, B-2 none, B-3 0:12.40-0:17.13",
	Options:  append([]Option{{Name: resultsOption, Help: "the same, for a form", Most: maxText}}, benchOptions()...),
	Who:      anyMember,
	Admits:   true,
	Bearing:  Bearing{Bench: true},
	Form:     batchForm(),
	Examples: []string{"/bench results B-1 3.4, B-2 none, B-3 0:12.40-0:17.13",
		"/bench results B-1 3.4, 4.1, none; B-2 2.2 (second pull) liquid:water temperature:21"},
	Run: runBatch,
}

// batchForm is a session in two lines.
func batchForm() *Form {
	return &Form{
		Title: "Log a bench session",
		Fields: []Field{
			{Name: resultsField, Label: "Label and seconds, or none", Help: "B-1 3.4, B-2 none, B-3 0:12.40-0:17.13",
				Most: maxText, Required: true, Long: true},
			{Name: benchField, Label: "On the bench", Help: "change what was different", Most: 150},
		},
		Fill: fillBatch,
		Read: func(v view, filled map[string]string) (map[string]string, error) {
			values, err := readBench(filled[benchField], v.now)
			if err != nil {
				return nil, err
			}
			if note := values["note"]; note != "" {
				return nil, refuse("Write it in brackets behind a result.", "What each test notes is its own: %s.",
					echo(note))
			}
			values[resultsOption] = filled[resultsField]
			return values, nil
		},
	}
}

// fillBatch fills in what was typed, else the labels in the asker's box.
func fillBatch(ctx context.Context, env *Env, req Request) (map[string]string, error) {
	filled := map[string]string{resultsField: req.Text, benchField: benchLine(usualBench())}
	m, err := env.known(ctx, req.Asker.Ref)
	if err != nil || m.ID == 0 || req.Text != "" {
		return filled, err
	}
	items, err := env.Group.Box(ctx, m.ID)
	if err != nil {
		return nil, err
	}
	for _, item := range items {
		filled[resultsField] += item.Label() + " \n"
	}
	return filled, nil
}

func runBatch(ctx context.Context, env *Env, call *Call) (Card, error) {
	text := strings.TrimSpace(call.text + " " + call.value(resultsOption))
	typed, stray := logline.ReadSession(text)
	if stray != "" {
		return Card{}, refuse("Write each behind its label: "+call.example()+". Nothing was logged.",
			"%s stands in front of the first label.", echo(stray))
	}
	batch, err := readBatch(call, typed)
	if err != nil {
		return Card{}, err
	}
	if len(batch.results) == 0 && len(batch.faults) == 0 && len(batch.unusual) == 0 {
		return Card{}, refuse("Write for example: "+call.example()+".", "Which results?")
	}
	var outcomes []knowledge.BoxOutcome
	if len(batch.results) > 0 {
		if outcomes, err = env.Group.LogBatch(ctx, call.by, call.Key, batch.results); err != nil {
			return Card{}, err
		}
	}
	if slices.Contains(call.Replies, "yes") {
		if err := batch.logOthers(ctx, env, call, outcomes); err != nil {
			return Card{}, err
		}
	}
	c := batchCard(ctx, env, call, batch, outcomes)
	batch.ask(env, &c, call, outcomes)
	return c, nil
}

// batch is a message as read: what can be logged, and what is wrong with the rest.
type batch struct {
	results []knowledge.BoxResult
	typed   []string // of each result, its label and how it was typed
	faults  []string
	held    map[int]bool // the labels that have a fault: nothing of them is logged
	stays   bool         // a fault keeps a syringe in the box
	empty   []string     // labels without a result
	unusual []string     // labels and results that are logged only after a yes
	assumed []string     // what was not said, in words
}

// readBatch reads the results. A fault in one result keeps back all of its label, so that the label can be sent again
// whole.
func readBatch(call *Call, typed []logline.Labelled) (b batch, err error) {
	bench, err := benchOf(call)
	if err != nil {
		return b, err
	}
	b.held = map[int]bool{}
	for _, one := range typed {
		switch {
		case one.Typed == "":
			b.empty = append(b.empty, boxLabelOf(one.Number))
		case one.Unusual && !slices.Contains(call.Replies, "yes"):
			b.unusual = append(b.unusual, boxLabelOf(one.Number)+" "+one.Typed)
			b.holdBack(one, "that is unusual. Is it right?")
		case one.Problem != "" && !one.Unusual:
			b.holdBack(one, one.Problem)
		}
	}
	tests := make([]knowledge.BenchTest, len(typed))
	for i, one := range typed {
		if one.Typed == "" || b.held[one.Number] {
			continue
		}
		var assumed []string
		tests[i], assumed, err = batchTest(call, bench, one.Line)
		if words, theirs := faultWords(err); theirs {
			b.holdBack(one, words)
		} else if err != nil {
			return b, err
		}
		b.assume(assumed)
	}
	for i, one := range typed {
		if one.Typed != "" && !b.held[one.Number] {
			b.results = append(b.results, knowledge.BoxResult{Number: one.Number, Test: tests[i]})
			b.typed = append(b.typed, boxLabelOf(one.Number)+" "+one.Typed)
		}
	}
	return b, nil
}

// holdBack keeps a label back for what is wrong with one of its results.
func (b *batch) holdBack(one logline.Labelled, why string) {
	b.faults = append(b.faults, boxLabelOf(one.Number)+", "+echo(one.Typed)+": "+why)
	b.held[one.Number], b.stays = true, true
}

func boxLabelOf(number int) string { return fmt.Sprintf("B-%d", number) }

// assume adds what was assumed, each once.
func (b *batch) assume(words []string) {
	for _, w := range words {
		if !slices.Contains(b.assumed, w) {
			b.assumed = append(b.assumed, w)
		}
	}
}

// faultWords is what is wrong with what was typed, and whether the asker can put it right.
func faultWords(err error) (string, bool) {
	if user, is := errors.AsType[*UserError](err); is {
		return user.Error(), true
	}
	if field, is := errors.AsType[*trade.FieldError](err); is {
		return sentence(field.Error()), true
	}
	return "", false
}

// benchOf is a line with what the options say of all tests of a session.
func benchOf(call *Call) (line logline.Line, err error) {
	line.Setup.Syringe.Name = trade.Supplied // a placeholder: the box knows the combination
	return line, putOptions(&line, call)
}

// batchTest is one test of a session.
func batchTest(call *Call, bench, v logline.Line) (t knowledge.BenchTest, assumed []string, err error) {
	line, o := bench, v.Outcomes[0]
	if o.WatchedS == 0 {
		o.WatchedS, _ = call.number("watched")
	}
	if !o.Flashback && o.WatchedS == 0 {
		o.WatchedS = float64(knowledge.WatchSeconds(call.settings.Ceiling))
		assumed = append(assumed, "watched for "+exactSeconds(o.WatchedS))
	}
	line.Outcomes, line.Film, line.Note, line.Lot = []logline.Outcome{o}, v.Film, v.Note, v.Lot
	switch filmed := v.Film.Marks != ""; {
	case v.Timing != nil:
		line.Timing = v.Timing
	case filmed && line.Timing != nil && line.Timing.FPS == 0:
		line.Timing = nil // a stopwatch timed the others, not this film
	}
	tests, more, err := testsOf(call, line)
	if err != nil {
		return t, nil, err
	}
	tests[0].Combination, tests[0].RequestKey = trade.Combination{}, ""
	return tests[0], append(assumed, more...), nil
}

// ask asks about what is logged only after a yes: an unusual result, and another result of a syringe that was logged
// before.
func (b batch) ask(env *Env, c *Card, call *Call, outcomes []knowledge.BoxOutcome) {
	waits := slices.Clone(b.unusual)
	for i, o := range outcomes {
		if !b.isAnother(i, o) {
			continue
		}
		waits = append(waits, b.typed[i])
		if c.Refused = false; len(outcomes) > 1 {
			c.Title = "Some of these syringes were logged before. Are these other tests of them?"
		} else {
			c.Title = fmt.Sprintf("%s was logged before: %s. Is %s another test of it?", boxLabelOf(o.Number),
				resultsOf(o.Earlier), resultWords(b.results[i].Test))
		}
	}
	if len(waits) == 0 {
		return
	}
	again := Request{Command: batchName, Text: strings.Join(waits, ", "), Values: maps.Clone(call.Values),
		Link: call.Link}
	delete(again.Values, resultsOption)
	agreed := again
	agreed.Replies = []string{"yes"}
	c.Choices = []Choice{{Label: "yes, log " + again.Text, Request: agreed}}
	again.Place, again.Asker = call.Place, call.Asker
	env.awaitAnswer(&Call{Request: again, cmd: call.cmd}, logline.Line{}, *c, true, 0)
}

// isAnother reports whether an outcome is another result of a syringe that was logged before.
func (b batch) isAnother(i int, o knowledge.BoxOutcome) bool {
	if len(o.Earlier) == 0 || i >= len(b.results) {
		return false
	}
	t := b.results[i].Test
	return !slices.ContainsFunc(o.Earlier,
		func(e knowledge.BenchTest) bool { return e.Outcome == t.Outcome && e.Seconds == t.Seconds })
}

// logOthers logs what the asker says are other tests of syringes that were logged before.
func (b batch) logOthers(ctx context.Context, env *Env, call *Call, outcomes []knowledge.BoxOutcome) error {
	for i, o := range outcomes {
		if !b.isAnother(i, o) {
			continue
		}
		t := b.results[i].Test
		t.Combination, t.Tester = o.Earlier[0].Combination, call.by
		if call.Key != "" {
			t.RequestKey = fmt.Sprintf("%s/%d", call.Key, i+1)
		}
		logged, err := env.Group.LogTests(ctx, []knowledge.BenchTest{t})
		if err != nil {
			return err
		}
		outcomes[i] = knowledge.BoxOutcome{Number: o.Number, Test: logged[0]}
	}
	return nil
}
