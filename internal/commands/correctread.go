package commands

import (
	"cmp"
	"context"
	"math"
	"slices"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// readChange is what a request changes about a test: its words and options, and the replies to questions about them.
// more are the replies to which there was no question.
//
// Errors: as readLog.
func readChange(ctx context.Context, env *Env, call *Call) (line logline.Line, more []string, err error) {
	number, _ := call.number(testOption)
	old, err := env.Group.Test(ctx, int64(number))
	if err != nil {
		return line, nil, err
	}
	known, err := knownParts(call)
	if err != nil {
		return line, nil, err
	}
	line = logline.ReadChange(known.In(old.Combination), call.value(changeOption), call.index, call.now)
	line, more = withReplies(line, call)
	if slices.Contains(call.Replies, leaveNoteOut) {
		line.Note = ""
	}
	return line, more, nil
}

// changed is the test with what a line says. It was watched at least as long as its new seconds.
func changed(t knowledge.BenchTest, line logline.Line) knowledge.BenchTest {
	t.Combination = line.Setup.Combination()
	t.Corrects, t.Slip, t.RequestKey = t.ID, 0, ""
	typed := len(line.Outcomes) > 0 && line.Timing == nil && t.Timing == quantity.ByTaps
	switch {
	case line.Timing != nil:
		t.Timing = line.Timing.String()
	case typed: // what is typed was not tapped
		t.Timing = usualTiming
	}
	if len(line.Outcomes) > 0 {
		o := line.Outcomes[0]
		if endedAs(&t, o); o.Flashback {
			t.WatchedS = max(t.WatchedS, math.Ceil(o.Seconds))
		}
		t.Film.Marks = line.Film.Marks
		if line.Film.Marks != "" && line.Timing == nil && t.Timing == usualTiming {
			t.Timing = "video " + trimNumber(usualFPS) + " fps"
		}
	}
	if watched := line.WatchedS(); watched > 0 {
		t.WatchedS = watched
	}
	saidOfBench(&t, line)
	if !line.Day.IsZero() {
		t.TestedOn = line.Day.Format(dateForm)
	}
	if line.Link != "" {
		t.Film.Link = line.Link
	}
	t.Lot = trade.Lot{Number: cmp.Or(line.Lot.Number, t.Lot.Number), Expires: cmp.Or(line.Lot.Expires, t.Lot.Expires)}
	return t
}

// correctForm is a correction in three lines.
func correctForm() *Form {
	return &Form{
		Title: "Correct a test",
		Fields: []Field{
			{Name: testOption, Label: "Test", Help: "its number, as the confirmation gave it", Most: 10,
				Required: true},
			{Name: changeOption, Label: "What changes", Help: "as you would log it: 7.31 s, pull 0.2, 30G 8 mm, " +
				"yesterday", Most: 150, Required: true},
			{Name: reasonOption, Label: "Why", Help: "kept with the test, nothing about a patient", Most: 150},
		},
		When: func(req Request) bool {
			opens := len(req.Values) == 1 || len(req.Values) == 2 && changesPart(req.value(changeOption))
			return req.Text == "" && (req.value(testOption) == "" || opens && len(req.Replies) == 0)
		},
		Fill: fillCorrection,
	}
}

// What the buttons of a receipt correct: the form opens with that part of the test filled in.
const (
	secondsPart = "seconds"
	needlePart  = "needle"
)

func changesPart(change string) bool { return change == secondsPart || change == needlePart }

// fillCorrection fills in what was typed before if the form comes back, else the part of the test that is to change.
func fillCorrection(ctx context.Context, env *Env, req Request) (map[string]string, error) {
	if req.Filled != nil {
		return req.Filled, nil
	}
	filled := req.Keeping(testOption, changeOption, reasonOption)
	if !changesPart(req.value(changeOption)) {
		return filled, nil
	}
	number, err := quantity.Number(req.value(testOption))
	if err != nil {
		return filled, err
	}
	test, err := env.Group.Test(ctx, int64(number))
	if err != nil {
		return filled, err
	}
	filled[changeOption] = test.Combination.Instrument.Name()
	if req.value(changeOption) == secondsPart {
		filled[changeOption] = resultWords(test)
	}
	return filled, nil
}
