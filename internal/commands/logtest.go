package commands

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const logName = "log"

// What is taken where a tester does not say; the confirmation names each.
// Assumptions: a bench at room temperature, milk, a stopwatch, and half a minute
// of patience.
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
	Summary: "Log one bench test: the seconds until flashback, or none",
	Help: "One line for one timed test on the bench. What you leave out is taken as usual, and the confirmation says how. " +
		"For none, say how long you watched. Never write anything about a patient.",
	Options: []Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts, Required: true},
		{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle", Suggest: suggestInstruments, Required: true},
		{Name: "seconds", Help: "as read, as in 7.13, or none, or from–to on a film, as in 0:12.40–0:17.13", Required: true},
		{Name: syringeOption, Help: "supplied, or as in fixed-needle 0.3 mL", Suggest: suggestSyringes},
		{Name: "liquid", Help: "the bench liquid, as in whole milk or glycerol-water 40%", Kept: true},
		{Name: "temperature", Help: "of the liquid", Kind: Number, Unit: "°C", Min: 0, Max: 45},
		pullNumber("how far the plunger was drawn", trade.LargestTestedPullML),
		{Name: "watched", Help: "how long you watched, or would have watched", Kind: Number, Unit: "s", Min: 1, Max: trade.LongestWatchS},
		{Name: "timing", Help: "stopwatch, or video and its frames a second, as in video 30 fps"},
		{Name: "date", Help: "the day of the test", Kind: Date},
		{Name: "note", Help: "anything odd about the test, nothing about a patient", Kept: true},
	},
	Who:     anyMember,
	Slow:    true,
	Bearing: Bearing{Bench: true},
	Form:    logForm(),
	Plain:   logPlain,
	Examples: []string{
		`/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:7.13 timing:"video 30 fps"`,
		`/log product:"Hesk Paste" instrument:"31G 8 mm needle" seconds:none watched:60`,
		"log orrick mid 30G 13 mm 7.13 s",
	},
	Run: runLog,
}

func runLog(ctx context.Context, env *Env, req Request) (Card, error) {
	product, back, err := namedProduct(ctx, env, req)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	instrument, back, err := namedInstrument(ctx, env, req, product)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	tester, err := req.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	req, marks, assumedFilm, err := unroll(req)
	if err != nil {
		return Card{}, err
	}
	test, assumed, err := readTest(ctx, env, req)
	if err != nil {
		return Card{}, err
	}
	assumed = append(assumed, assumedFilm...)
	test.Film = knowledge.Film{Marks: marks, Link: req.Link}
	test.Combination.Product, test.Combination.Instrument = product, instrument
	test.Tester, test.RequestKey = tester, req.Key
	newInstrument := !onList(ctx, env, test.Combination.Instrument)
	logged, err := env.Group.LogTest(ctx, test)
	if err != nil {
		return Card{}, err
	}
	evidence := afterwards(ctx, env, logged.Combination)
	c := loggedCard(logged, assumed, evidence)
	c.Actions = afterLogging(logged)
	if evidence != nil {
		c.standOn(evidence.Spread)
	}
	if newInstrument {
		c.warn("%s was not on the group's list and has been added%s.", logged.Combination.Instrument.Name(), wallRemark(logged.Combination.Instrument))
	}
	return c, nil
}

// cardOr is the card, or an empty one beside an error.
func cardOr(c *Card) Card {
	if c == nil {
		return Card{}
	}
	return *c
}

// filler takes what was said, and what is usual where nothing was.
type filler struct {
	req     Request
	assumed []string // what was not said, in words
}

func (f *filler) text(name, usual, words string) string {
	if v := f.req.value(name); v != "" {
		return v
	}
	f.assumed = append(f.assumed, words)
	return usual
}

func (f *filler) number(name string, usual float64, words string) float64 {
	if v, given := f.req.number(name); given {
		return v
	}
	f.assumed = append(f.assumed, words)
	return usual
}

// readTest puts a test together from what was said and what is usual; assumed
// names what was not said.
func readTest(ctx context.Context, env *Env, req Request) (t knowledge.BenchTest, assumed []string, err error) {
	f := &filler{req: req}
	if t.Combination.Syringe, err = trade.ReadSyringe(f.text(syringeOption, usualSyringe, usualSyringe+" syringe")); err != nil {
		return t, nil, err
	}
	if err := readOutcome(req, &t); err != nil {
		return t, nil, err
	}
	if err := f.watched(&t); err != nil {
		return t, nil, err
	}
	t.Liquid = f.text("liquid", usualLiquid, usualLiquid)
	t.LiquidC = f.number("temperature", usualLiquidC, trimNumber(usualLiquidC)+" °C")
	t.PullML = f.number("pull", usualPullML, "pull "+trimNumber(usualPullML)+" mL")
	if t.Timing, _, err = knowledge.ReadTiming(f.text("timing", usualTiming, usualTiming)); err != nil {
		return t, nil, err
	}
	today, err := env.today(ctx)
	if err != nil {
		return t, nil, err
	}
	t.TestedOn = f.text("date", today.Format(dateForm), "tested today")
	t.Note = req.value("note")
	return t, f.assumed, nil
}

// watched fills in how long the tester watched. For none that is the whole
// result, so nothing is taken as usual there.
func (f *filler) watched(t *knowledge.BenchTest) error {
	if t.Outcome == knowledge.None {
		watched, given := f.req.number("watched")
		if !given {
			return refuse("Add for example watched:30.", "How long did you watch without flashback?")
		}
		t.WatchedS = watched
		return nil
	}
	usual := max(usualWatchedS, math.Ceil(t.Seconds))
	t.WatchedS = f.number("watched", usual, "watched for "+exactSeconds(usual))
	return nil
}

// readOutcome reads the seconds as typed, or none.
func readOutcome(req Request, t *knowledge.BenchTest) error {
	typed := req.value("seconds")
	if strings.EqualFold(typed, string(knowledge.None)) {
		t.Outcome = knowledge.None
		return nil
	}
	seconds, err := knowledge.ReadSeconds(typed)
	if err != nil {
		return refuse("Write for example 7.13, none, or from–to on a film, as in 0:12.40–0:17.13.", "The seconds cannot be %s.", echo(typed))
	}
	t.Outcome, t.Seconds, t.SecondsTyped = knowledge.Flashback, seconds, typed
	return nil
}

// onList reports whether the group has the instrument already. Where that
// cannot be told it is taken as there, for nothing but a remark hangs on it.
func onList(ctx context.Context, env *Env, i trade.Instrument) bool {
	_, err := env.Group.Instrument(ctx, i.Name())
	return !errors.Is(err, knowledge.ErrNotFound)
}

func wallRemark(i trade.Instrument) string {
	if i.Wall == "" {
		return ", with no wall class on record"
	}
	return ""
}

// notWorkedOut stands in for what the group thinks where that cannot be told.
const notWorkedOut = "What the group now thinks could not be worked out just now; what is said here is stored all the same."

// afterwards is what the group knows of a combination of which something has
// just been stored. That it cannot be told takes nothing back of that: it is nil
// then, and the cause goes to the log.
func afterwards(ctx context.Context, env *Env, c trade.Combination) *knowledge.Evidence {
	e, err := env.Group.Evidence(ctx, c, calc.DefaultPull)
	if err != nil {
		env.Log.ErrorContext(ctx, "stored, but not worked out", "error", err)
		return nil
	}
	return e
}

// loggedCard: what was stored, what was assumed, what the group now thinks; e is
// nil where that cannot be told.
func loggedCard(t knowledge.BenchTest, assumed []string, e *knowledge.Evidence) Card {
	c := Card{Title: t.Combination.String(), Verdict: fmt.Sprintf("Logged as test %d.", t.ID)}
	c.fact("Stored", "%s", testWords(t))
	if len(assumed) > 0 {
		c.fact("Taken as usual, since you did not say", "%s", strings.Join(assumed, ", "))
	}
	if e == nil {
		c.line(notWorkedOut)
		return c
	}
	c.fact("The group's tests now", "%s", testsLine(e))
	c.fact("Now", "%s; by %s %s", headline(e), exactSeconds(float64(e.Ceiling)), showing(e.Forecast.Share(e.Ceiling), "show"))
	for _, flagged := range e.Flagged {
		if flagged.ID == t.ID {
			c.warn("Beside the others this test %s. Please look once more.", flagWords(t))
		}
	}
	if twin := twinOf(t, e.Tests); twin != nil {
		c.warn("Your test %d of that day has the same %s. If both are one test, take this one back, or it counts twice.", twin.ID, exactSeconds(t.Seconds))
	}
	return c
}

// twinOf is an earlier test by the same tester, of the same day, liquid and pull
// and to the same fraction of a second, nil if there is none. It may be another one all the same,
// or the same one sent again because its confirmation never came through. None
// has no such twin: two holds watched to the end are told alike.
func twinOf(t knowledge.BenchTest, tests []knowledge.BenchTest) *knowledge.BenchTest {
	if t.Outcome != knowledge.Flashback {
		return nil
	}
	for i, other := range tests {
		if other.ID < t.ID && other.Outcome == t.Outcome && other.Seconds == t.Seconds &&
			other.TestedOn == t.TestedOn && other.Tester.ID == t.Tester.ID && other.Liquid == t.Liquid && other.PullML == t.PullML {
			return &tests[i]
		}
	}
	return nil
}

// testWords is one test in one line.
func testWords(t knowledge.BenchTest) string {
	text := resultWords(t) + ", " + t.Timing + ", pull " + trimNumber(t.PullML) + " mL, " + t.Liquid + " at " + trimNumber(t.LiquidC) + " °C, "
	if t.Outcome == knowledge.Flashback {
		text += "watched " + exactSeconds(t.WatchedS) + ", "
	}
	text += t.TestedOn + ", " + t.Tester.Name
	if t.Film.Marks != "" {
		text += ", film " + t.Film.Marks
	}
	if t.Note != "" {
		text += ", note: " + t.Note
	}
	return text
}
