package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/patientdata"
	"holdbench/internal/trade"
)

const logName = "log"

// What is assumed where a tester does not say; the confirmation names each. The bench is at room temperature, the
// liquid milk, the timing a stopwatch, and the tester watches for half a minute.
const (
	usualSyringe  = trade.Supplied
	usualLiquid   = "whole milk"
	usualLiquidC  = 20
	usualPullML   = 0.1 // as calc.DefaultPull
	usualTiming   = "stopwatch"
	usualWatchedS = 30
)

var logCommand = &Command{
	Name:    logName,
	Short:   "one bench test: seconds, or none",
	Summary: "Log one bench test: the seconds until flashback, or none",
	Help: "One line for one timed test on the bench. What you leave out is taken as usual, and the confirmation " +
		"says how. " +
		"For none, say how long you watched. Never write anything about a patient.",
	Options: append([]Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts, Required: true},
		{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle", Suggest: suggestInstruments,
			Required: true},
		{Name: "seconds", Help: "as read, as in 7.13, or none, or from–to on a film, as in 0:12.40–0:17.13",
			Required: true},
		{Name: syringeOption, Help: "supplied, or as in fixed-needle 0.3 mL", Suggest: suggestSyringes},
	}, benchOptions(lotChoice(), Option{Name: "note", Help: "anything odd about the test, nothing about a patient",
		Kept: true})...),
	Who:     anyMember,
	Bearing: Bearing{Bench: true},
	Form:    logForm(),
	Plain:   logPlain,
	Examples: []string{
		`/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:7.13 timing:"video 30 fps"`,
		`/log product:"Hesk Paste" instrument:"31G 8 mm needle" seconds:none watched:60`,
		"log orrick mid 30G 13 mm 6.4 s",
	},
	Run: runLog,
}

// benchOptions are what a test or a session says of the bench, and the others given.
func benchOptions(others ...Option) []Option {
	return append([]Option{
		liquidChoice(), temperatureNumber(),
		pullNumber("how far the plunger was drawn", trade.LargestTestedPullML),
		{Name: "watched", Help: "how long you watched, or would have watched", Kind: Number, Unit: "s", Min: 1,
			Max: trade.LongestWatchS, Suggest: suggestWatched},
		{Name: "timing", Help: "stopwatch, or video and its frames a second, as in video 30 fps",
			Suggest: suggestTiming},
		{Name: "date", Help: "the day on the bench", Kind: Date, Suggest: suggestPastDay},
	}, others...)
}

func liquidChoice() Option {
	return Option{Name: "liquid", Help: "the bench liquid, as in whole milk or glycerol-water 40%", Kept: true,
		Suggest: suggestLiquid}
}

func temperatureNumber() Option {
	return Option{Name: "temperature", Help: "of the liquid", Kind: Number, Unit: "°C", Min: 0, Max: 45,
		Suggest: suggestTemperature}
}

func runLog(ctx context.Context, env *Env, call *Call) (Card, error) {
	line, replies, err := readLog(call)
	if err != nil {
		return Card{}, err
	}
	logged, assumed, err := storeLine(ctx, env, call, line, replies, 0)
	if err != nil {
		return Card{}, err
	}
	last := turn{combination: logged[0].Combination, pullML: line.PullML}
	if len(logged) == 1 {
		last.logged = logged[0].ID
	}
	env.remember(call.Request, last)
	evidence := afterwards(ctx, env, logged[0].Combination)
	c := loggedCard(logged, assumed, evidence)
	c.Actions, c.Stored = afterLogging(logged), storedTests(call.now, logged)
	if evidence != nil {
		c.markRenewable(evidence)
	}
	if instrument := logged[0].Combination.Instrument; !call.listed(instrument) {
		c.warn("%s was not on the group's list and has been added%s.", instrument.Name(), wallRemark(instrument))
	}
	return c, nil
}

// storeLine stores the tests of a line under the asker's name, in a class or, with 0, in
// none. replies are those that the line had no question for.
//
// Errors: *UserError, *trade.FieldError; *questionBack where the line leaves something open, or one of the tests may be
// stored already.
func storeLine(ctx context.Context, env *Env, call *Call, line logline.Line, replies []string,
	class int64) (logged []knowledge.BenchTest, assumed []string, err error) {
	if err := unsettled(env, call, line); err != nil {
		return nil, nil, err
	}
	tester, err := call.Asker.member(ctx, env)
	if err != nil {
		return nil, nil, err
	}
	tests, assumed, err := testsOf(call, line)
	if err != nil {
		return nil, nil, err
	}
	for i := range tests {
		tests[i].Tester, tests[i].Class = tester, class
	}
	if len(replies) == 0 {
		if err := askAboutTwin(ctx, env, call, line, tests); err != nil {
			return nil, nil, err
		}
	}
	logged, err = env.Group.LogTests(ctx, tests)
	return logged, assumed, err
}

// unsettled is the *questionBack that asks what a line leaves open, nil where it can be stored.
func unsettled(env *Env, call *Call, line logline.Line) error {
	var c Card
	switch {
	case line.Asks:
		c = Card{Title: "That is a question, so nothing was stored."}
		c.line("Without the question mark it is logged.")
		c.Figures = askedBack{}
		return &questionBack{c}
	case line.Setup.Outcome != question.One:
		c = whichSetup(call, line)
	case line.Ask != nil:
		c = replyCard(call, line.Ask.Text, line, line.Ask.Answers)
	case len(line.Outcomes) == 0 && call.Command != correctName:
		c = refusal("How many seconds until flashback, or none?", call.example())
		return &questionBack{c}
	case !call.NoPatient && patientdata.Look(line.Note).Verdict == patientdata.Doubtful:
		about := call.Request
		about.NoPatient = true
		c = replyCard(call, "Is the note about a patient?", line,
			[]logline.Answer{{Label: "yes: leave the note out", Say: leaveNoteOut}})
		c.Choices = append([]Choice{{Label: "no: keep it as it is", Request: about}}, c.Choices...)
	default:
		return nil
	}
	env.awaitAnswer(call, line, c, false, 0)
	return &questionBack{c}
}

// listed reports whether a needle or cannula was on the group's list when the request was read.
func (v view) listed(i trade.Instrument) bool {
	_, there := v.lists.Instrument(i)
	return there
}

func wallRemark(i trade.Instrument) string {
	if i.Wall == "" {
		return ", with no wall class on record"
	}
	return ""
}

// notWorkedOut is said where the new estimate is not to be had.
const notWorkedOut = "The new estimate could not be worked out just now. What is listed here is stored."

// afterwards is what the group knows of a combination after something of it was stored. A fault here does not undo the
// storing: the result is nil then, and the cause goes to the log.
func afterwards(ctx context.Context, env *Env, c trade.Combination) *knowledge.Evidence {
	e, err := env.Group.Evidence(ctx, c, calc.DefaultPull)
	if err != nil {
		env.Log.ErrorContext(ctx, "stored, but not worked out", "error", err)
		return nil
	}
	return e
}

// sayNow says what the group knows after something was stored; e is nil where it could not be worked out.
func (c *Card) sayNow(e *knowledge.Evidence) {
	if e == nil {
		c.line(notWorkedOut)
		return
	}
	c.fact("Now", "%s", headline(e))
	c.sayBehind(e)
}

// loggedCard is a receipt: what was stored, what the group now knows, what was assumed; e as for sayNow.
func loggedCard(tests []knowledge.BenchTest, assumed []string, e *knowledge.Evidence) Card {
	c := Card{Title: stockWords(tests[0].Combination)}
	if len(tests) == 1 {
		c.Verdict = fmt.Sprintf("Logged as test %d: %s", tests[0].ID, saidWords(tests[0], assumed))
	} else {
		c.Verdict = fmt.Sprintf("Logged as tests %d to %d.", tests[0].ID, tests[len(tests)-1].ID)
		for _, t := range tests {
			c.fact(fmt.Sprintf("Test %d", t.ID), "%s", saidWords(t, assumed))
		}
	}
	c.sayNow(e)
	if len(assumed) > 0 {
		c.fact("Assumed", "%s", strings.Join(assumed, ", "))
	}
	c.sayDoubt(e, tests...)
	return c
}

// sayDoubt warns of stored tests that do not fit the others.
func (c *Card) sayDoubt(e *knowledge.Evidence, tests ...knowledge.BenchTest) {
	for _, t := range tests {
		if e != nil && e.Flagged.Has(t.ID) {
			c.warn("This test %s. Please look once more.", flagWords(t))
		}
	}
}

// testWords is one test in one line.
func testWords(t knowledge.BenchTest) string { return saidWords(t, nil) }

// saidWords is one test in one line, without the parts that were assumed; for nil with all parts and the tester.
func saidWords(t knowledge.BenchTest, assumed []string) string {
	words := []string{typedWords(t)}
	add := func(part string, unless string) {
		if !slices.Contains(assumed, unless) {
			words = append(words, part)
		}
	}
	pull := "pull " + trimNumber(t.PullML) + " mL"
	add(t.Timing, t.Timing)
	add(pull, pull)
	warmth := trimNumber(t.LiquidC) + " °C"
	if slices.Contains(assumed, t.Liquid) || slices.Contains(assumed, warmth) {
		add(t.Liquid, t.Liquid)
		add("at "+warmth, warmth)
	} else {
		words = append(words, t.Liquid+" at "+warmth)
	}
	if t.Outcome == knowledge.Flashback {
		add("watched "+exactSeconds(t.WatchedS), "watched for "+exactSeconds(t.WatchedS))
	}
	add(t.TestedOn, "tested today")
	if assumed == nil {
		words = append(words, t.Tester.Name)
	}
	if t.Film.Marks != "" {
		words = append(words, "film "+t.Film.Marks)
	}
	if lot := t.Lot.String(); lot != "" {
		words = append(words, lot)
	}
	if t.Note != "" {
		words = append(words, "note: "+t.Note)
	}
	return strings.Join(words, ", ")
}
