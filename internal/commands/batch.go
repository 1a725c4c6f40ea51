package commands

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	batchName     = "batch"
	resultsOption = "results"
	resultsField  = "results"
)

var batchCommand = &Command{
	Name:    batchName,
	Summary: "Log a bench session in one message: a label and its seconds, or none, for each",
	Help: "What is wrong is named label by label; what is right is logged and leaves the box, the rest stays there. " +
		"Several results of one syringe stand behind its label, a note in brackets behind a result. The other options hold for all of them.",
	Free:     true,
	FreeHelp: "as in: B-1 3.4, B-2 none, B-3 0:12.40-0:17.13",
	Options: []Option{
		{Name: resultsOption, Help: "the same, for a form", Most: maxText},
		{Name: "liquid", Help: "the bench liquid, as in whole milk or glycerol-water 40%", Kept: true},
		{Name: "temperature", Help: "of the liquid", Kind: Number, Unit: "°C", Min: 0, Max: 45},
		pullNumber("how far the plunger was drawn", trade.LargestTestedPullML),
		{Name: "watched", Help: "how long you watched, or would have watched", Kind: Number, Unit: "s", Min: 1, Max: trade.LongestWatchS},
		{Name: "timing", Help: "stopwatch, or video and its frames a second, as in video 30 fps"},
		{Name: "date", Help: "the day of the tests", Kind: Date},
	},
	Who:      anyMember,
	Slow:     true,
	Bearing:  Bearing{Bench: true},
	Form:     batchForm(),
	Examples: []string{"/batch B-1 3.4, B-2 none, B-3 0:12.40-0:17.13", "/batch B-1 3.4, 4.1, none; B-2 2.2 (second pull) liquid:water temperature:21"},
	Run:      runBatch,
}

// batchForm is a session in two lines.
func batchForm() *Form {
	return &Form{
		Title: "Log a bench session",
		Fields: []Field{
			{Name: resultsField, Label: "Label and seconds, or none", Help: "B-1 3.4, B-2 none, B-3 0:12.40-0:17.13", Most: maxText, Required: true, Long: true},
			{Name: benchField, Label: "On the bench", Help: "change what was different", Most: 150},
		},
		Fill: fillBatch,
		Read: func(_ context.Context, _ *Env, filled map[string]string) (map[string]string, error) {
			values, err := readBench(filled[benchField])
			if err != nil {
				return nil, err
			}
			values[resultsOption] = filled[resultsField]
			return values, nil
		},
	}
}

// fillBatch: what was typed before, if the form comes back; else the labels of
// what waits in the asker's box.
func fillBatch(ctx context.Context, env *Env, req Request) (map[string]string, error) {
	if req.Filled != nil {
		return req.Filled, nil
	}
	filled := map[string]string{resultsField: req.Text, benchField: benchLine(usualBench())}
	m, err := env.Group.Member(ctx, req.Asker.Ref)
	if isNotFound(err) || err == nil && req.Text != "" {
		return filled, nil
	}
	if err != nil {
		return nil, err
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

func runBatch(ctx context.Context, env *Env, req Request) (Card, error) {
	text := strings.TrimSpace(req.Text + " " + req.value(resultsOption))
	typed, stray := splitBatch(text)
	if stray != "" {
		return Card{}, refuse("Write each behind its label: "+req.example()+". Nothing was logged.", "%s stands in front of the first label.", echo(stray))
	}
	m, err := req.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	batch, err := readBatch(ctx, env, req, typed)
	if err != nil {
		return Card{}, err
	}
	if len(batch.results) == 0 && len(batch.faults) == 0 {
		return Card{}, refuse("Write for example: "+req.example()+".", "Which results?")
	}
	var outcomes []knowledge.BoxOutcome
	if len(batch.results) > 0 {
		if outcomes, err = env.Group.LogBatch(ctx, m, req.Key, batch.results); err != nil {
			return Card{}, err
		}
	}
	return batchCard(ctx, env, batch, outcomes), nil
}

// typedResult is what stands behind one label.
type typedResult struct {
	number  int
	results []string
}

var (
	batchLabel = regexp.MustCompile(`(?i)\bb\s?-?\s?(\d{1,4})\b\s*[:=]?`)
	batchBreak = regexp.MustCompile(`(?i)[,;]\s+|;|,$|\s+and(?:\s+|$)|\n`)
	noteBehind = regexp.MustCompile(`^(.*?)\s*\(([^()]*)\)$`)
)

// splitBatch takes a message apart at its labels. stray is what stands before
// the first.
func splitBatch(text string) (typed []typedResult, stray string) {
	labels := batchLabel.FindAllStringSubmatchIndex(text, -1)
	if len(labels) == 0 {
		return nil, text
	}
	for i, at := range labels {
		end := len(text)
		if i+1 < len(labels) {
			end = labels[i+1][0]
		}
		number, _ := strconv.Atoi(text[at[2]:at[3]]) // digits: the pattern was met
		one := typedResult{number: number}
		for _, part := range batchBreak.Split(strings.TrimSpace(text[at[1]:end]), -1) {
			if part = strings.TrimSpace(part); part != "" {
				one.results = append(one.results, part)
			}
		}
		typed = append(typed, one)
	}
	return typed, strings.Trim(text[:labels[0][0]], " ,;\n")
}

// batch is a message as read: what can be logged, and what is wrong with the rest.
type batch struct {
	results []knowledge.BoxResult
	faults  []string
	stays   bool     // something that is wrong keeps a syringe in the box
	empty   []string // labels without a result
	assumed []string // what was not said, in words
}

// readBatch reads the results. What is wrong with one keeps all of its label
// back, so that the label can be sent again whole.
func readBatch(ctx context.Context, env *Env, req Request, typed []typedResult) (b batch, err error) {
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return b, err
	}
	watch := trimNumber(float64(knowledge.WatchSeconds(settings.Ceiling)))
	for _, one := range typed {
		label := fmt.Sprintf("B-%d", one.number)
		if len(one.results) == 0 {
			b.empty = append(b.empty, label)
		}
		var good []knowledge.BoxResult
		wrong := false
		for _, result := range one.results {
			test, assumed, err := readResult(ctx, env, req, result, watch)
			if words, theirs := faultWords(err); theirs {
				b.faults = append(b.faults, label+", "+echo(result)+": "+words)
				wrong, b.stays = true, true
				continue
			}
			if err != nil {
				return b, err
			}
			b.assume(assumed)
			good = append(good, knowledge.BoxResult{Number: one.number, Test: test})
		}
		if !wrong {
			b.results = append(b.results, good...)
		}
	}
	return b, nil
}

// assume keeps what was taken as usual, each once.
func (b *batch) assume(words []string) {
	for _, w := range words {
		if !strings.Contains("\n"+strings.Join(b.assumed, "\n")+"\n", "\n"+w+"\n") {
			b.assumed = append(b.assumed, w)
		}
	}
}

// faultWords is what is wrong with a result, and whether it is the asker's to
// put right.
func faultWords(err error) (string, bool) {
	var user *UserError
	var field *trade.FieldError
	switch {
	case errors.As(err, &user):
		return user.Error(), true
	case errors.As(err, &field):
		return sentence(field.Error()), true
	}
	return "", false
}

// readResult reads one result with the options that hold for all.
func readResult(ctx context.Context, env *Env, req Request, result, watch string) (t knowledge.BenchTest, assumed []string, err error) {
	note := ""
	if m := noteBehind.FindStringSubmatch(result); m != nil {
		result, note = m[1], m[2]
	}
	if !strings.ContainsAny(result, "0123456789") && !strings.EqualFold(result, string(knowledge.None)) {
		return t, nil, refuse("Write seconds, none, or the film from–to.", "That is no result.")
	}
	one := req.with("seconds", result).with(syringeOption, usualSyringe) // the box knows the syringe
	if req.value("watched") == "" && strings.EqualFold(result, string(knowledge.None)) {
		one = one.with("watched", watch)
		assumed = append(assumed, "watched for "+watch+" s")
	}
	one, marks, more, err := unroll(filmed(one))
	if err != nil {
		return t, nil, err
	}
	assumed = append(assumed, more...)
	t, more, err = readTest(ctx, env, one)
	t.Film.Marks, t.Note = marks, note
	return t, append(assumed, more...), err
}
