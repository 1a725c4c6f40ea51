package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
)

const classLogName = "bench class"

var classLogCommand = &Command{
	Name:    classLogName,
	Summary: "Log your test in this channel's open class; with nothing, how far the class has come",
	Help:    "The set-up is the class's. What others found is shown when the class is over, without names.",
	Options: []Option{
		{Name: secondsOption, Help: "as read, as in 7.13, or none, or from–to on a film, as in 0:12.40–0:17.13"},
		classNumber(),
	},
	Plain:    wordsAre(secondsOption),
	Who:      anyMember,
	Bearing:  Bearing{Bench: true},
	Form:     classForm(),
	Examples: []string{"/bench class 7.13", "/bench class none"},
	Run:      runClassLog,
}

const secondsOption = "seconds"

// classForm takes one test of a class, whose set-up is known.
func classForm() *Form {
	return &Form{
		Title: "Log your test in the class",
		Fields: []Field{{Name: secondsOption, Label: "Seconds, none, or film from–to",
			Help: "7.13, none, 0:12.40–0:17.13", Most: 60, Required: true}},
		When: func(req Request) bool {
			return req.value(secondsOption) == "" && req.Text == "" && len(req.Replies) == 0
		},
		Fill: func(ctx context.Context, env *Env, req Request) (map[string]string, error) {
			class, err := classAsked(ctx, env, req)
			if err != nil {
				return nil, err
			}
			if !class.Open {
				return nil, refuse("", "The class is over.")
			}
			return nil, nil
		},
	}
}

func runClassLog(ctx context.Context, env *Env, call *Call) (Card, error) {
	class, err := classAsked(ctx, env, call.Request)
	if err != nil {
		return Card{}, err
	}
	typed := call.value(secondsOption)
	switch {
	case typed == "":
		c, err := classShown(ctx, env, call, class)
		if !class.Open {
			c.Source = classRequest(class)
		}
		return c, err
	case !class.Open:
		return overCard(class, typed), nil
	}
	line, more, err := classLine(call, class)
	if err != nil {
		return Card{}, err
	}
	logged, assumed, err := storeLine(ctx, env, call, line, more, class.ID)
	if err != nil {
		return Card{}, err
	}
	c := loggedInClass(logged, assumed)
	c.Stored = storedTests(call.now, logged)
	c.Actions, c.Source = afterClassTest(logged, class), classRequest(class)
	return c, nil
}

// classLine is the log line of a test with the class's set-up. more are the replies that answered none of its
// questions.
func classLine(call *Call, class knowledge.Class) (line logline.Line, more []string, err error) {
	typed, celsius := call.value(secondsOption), class.LiquidC
	line.Setup = question.Reading{Outcome: question.One, Product: class.Combination.Product,
		Instrument: class.Combination.Instrument, Syringe: class.Combination.Syringe}
	line.PullML, line.Liquid, line.LiquidC = class.PullML, class.Liquid, &celsius
	if !strings.ContainsAny(typed, "0123456789") { // none: watched for as long as the class asks
		if err := line.Put(logline.Watched, trimNumber(float64(knowledge.WatchSeconds(call.settings.Ceiling))),
			call.now); err != nil {
			return line, nil, err
		}
	}
	if err := line.Put(logline.Result, typed, call.now); err != nil {
		return line, nil, optionProblem(call.cmd, secondsOption, typed, err)
	}
	line, more = withReplies(line, call)
	return line, more, nil
}

// readClassTest is readLog for a test in a class.
func readClassTest(ctx context.Context, env *Env, call *Call) (line logline.Line, more []string, err error) {
	class, err := classAsked(ctx, env, call.Request)
	if err != nil {
		return line, nil, err
	}
	return classLine(call, class)
}

// overCard says that a class is over, and offers to log the test outside it so that nobody types it twice.
func overCard(class knowledge.Class, typed string) Card {
	c := refusal(fmt.Sprintf("The class on %s is over.", stockWords(class.Combination)), "Nothing was stored.")
	req := about(logName, class.Combination)
	req.Text, req.Values = "", map[string]string{
		secondsOption: typed, "pull": trimNumber(class.PullML), "liquid": class.Liquid,
		"temperature": trimNumber(class.LiquidC),
	}
	c.Actions, c.Source = []Action{{Label: "log " + typed + " outside the class", Request: req, Tap: true}},
		classRequest(class)
	return c
}

// loggedInClass is a receipt that says nothing of what the group has found: a member who has read that times the next
// test with it in mind.
func loggedInClass(tests []knowledge.BenchTest, assumed []string) Card {
	c := Card{Title: stockWords(tests[0].Combination)}
	for _, t := range tests { // the set-up is the class's and is not repeated
		known := append(slices.Clone(assumed), "pull "+trimNumber(t.PullML)+" mL", t.Liquid,
			trimNumber(t.LiquidC)+" °C", "at "+trimNumber(t.LiquidC)+" °C")
		c.line("Test %d of the class: %s", t.ID, saidWords(t, known))
	}
	c.fact("Assumed", "%s", strings.Join(assumed, ", "))
	return c
}

// afterClassTest is what a member may want to do after a test in class.
func afterClassTest(tests []knowledge.BenchTest, class knowledge.Class) []Action {
	actions := []Action{{Label: "log another", Request: *classRequest(class), Tap: true}}
	for _, t := range tests[:min(len(tests), mostLinks)] {
		actions = append(actions, takeBack(t, fmt.Sprintf("take test %d back", t.ID)))
	}
	return actions
}
