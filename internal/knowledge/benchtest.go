package knowledge

import (
	"strings"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Outcome is how a bench test ended.
type Outcome string

// The outcomes.
const (
	Flashback Outcome = "flashback"
	None      Outcome = "none" // no flashback while watched
)

// State says whether a test counts.
type State string

// The states. A withdrawn test stays on record and counts for nothing.
const (
	Kept      State = "kept"
	Withdrawn State = "withdrawn"
)

// BenchTest is one timed trial of a combination on the bench.
type BenchTest struct {
	ID           int64 // the community's own number: 1, 2, 3 in the order logged
	Combination  trade.Combination
	TestedOn     string // day, 2006-01-02
	Tester       Member
	Liquid       string // "whole milk", "glycerol-water 40%"
	LiquidC      float64
	PullML       float64
	WatchedS     float64 // how long it was watched, or would have been without a flashback
	Outcome      Outcome
	Seconds      float64 // when flashback came; 0 for none
	SecondsTyped string  // the same as typed
	Timing       string  // "video 30 fps", "stopwatch", "by taps"
	Note         string
	State        State
	LoggedAt     time.Time
	Slip         float64 // probability of a slip of the pen, as last estimated
	RequestKey   string  // the same key twice stores one test; "" for none
	Corrects     int64   // the number of the test that this one replaces, 0 if none
	Film         Film    // where it can be seen again
	Lot          trade.Lot
	Class        int64 // the class it was made in, 0 for none
}

// Limits of a test. They admit everything anybody would do on a bench and stop a misplaced
// decimal point (project's choice).
const (
	maxLiquidC = 45.0
	minFPS     = 5.0
	maxFPS     = 2000.0
	maxLiquid  = 60 // characters
)

// readTiming reads how a test was timed, "video 30 fps" or "stopwatch", in any common
// spelling. What is stored is its String.
//
// Errors: *FieldError.
func readTiming(text string) (quantity.Timing, error) {
	t, err := quantity.ReadTiming(text)
	if err != nil {
		return t, trade.Refuse("timing", "%q is not read; write stopwatch, or video and its frames a second, like "+
			"video 30 fps", text)
	}
	if t.Stopwatch || t.Taps {
		return t, nil
	}
	return t, trade.CheckRange("frames a second", t.FPS, minFPS, maxFPS, "fps")
}

// readSeconds reads a time as typed at the bench: "5.70", "5,7 s", "1:12".
//
// Errors: *FieldError.
func readSeconds(text string) (float64, error) {
	v, err := quantity.Seconds(text)
	if err != nil {
		return 0, trade.Refuse("seconds", "%q is not read: %s", text, err)
	}
	return v, nil
}

// filled returns the test with defaults filled in and spellings as stored.
func (t BenchTest) filled() BenchTest {
	t.TestedOn, t.Liquid, t.Note = strings.TrimSpace(t.TestedOn), trade.Tidy(t.Liquid), strings.TrimSpace(t.Note)
	t.SecondsTyped = strings.TrimSpace(t.SecondsTyped)
	if timing, err := readTiming(t.Timing); err == nil {
		t.Timing = timing.String()
	}
	if t.Outcome == Flashback && t.SecondsTyped == "" {
		t.SecondsTyped = trade.Number(t.Seconds)
	}
	if t.State == "" {
		t.State = Kept
	}
	t.Lot = t.Lot.Filled()
	return t
}

// Validate returns a *FieldError, in words for the tester, unless the test could have
// happened. If LoggedAt is set, the day must not be later; LogTest checks it against the
// community's own day.
func (t BenchTest) Validate() error {
	if err := t.validatePlain(); err != nil {
		return err
	}
	if err := trade.RefusePatientData("liquid", t.Liquid); err != nil {
		return err
	}
	return trade.RefusePatientData("note", t.Note)
}

// validatePlain is Validate without the search for patient data, which takes longer than the
// rest together.
func (t BenchTest) validatePlain() error {
	note := error(nil)
	if strings.TrimSpace(t.Note) != "" {
		note = trade.CheckText("note", t.Note, trade.LongestNote)
	}
	for _, err := range [...]error{
		t.validateDay(), t.validateTime(), trade.CheckText("liquid", t.Liquid, maxLiquid),
		trade.CheckRange("liquid temperature", t.LiquidC, 0, maxLiquidC, "°C"),
		trade.CheckRange("pull", t.PullML, trade.SmallestPullML, trade.LargestTestedPullML, "mL"),
		note, t.Film.validate(), t.Lot.Validate(),
	} {
		if err != nil {
			return err
		}
	}
	if len(t.RequestKey) > 200 {
		return trade.Refuse("request key", "is longer than 200 bytes")
	}
	return nil
}

func (t BenchTest) validateDay() error {
	if err := trade.CheckDay("date", t.TestedOn); err != nil {
		return err
	}
	if t.LoggedAt.IsZero() {
		return nil
	}
	// The day begins first at UTC+14: no zone is further ahead.
	return t.notAfter(t.LoggedAt.UTC().Add(14 * time.Hour).Format(dayText))
}

// notAfter refuses a test dated after a day.
func (t BenchTest) notAfter(day string) error {
	if t.TestedOn > day {
		return trade.Refuse("date", "%s is in the future", t.TestedOn)
	}
	return nil
}

// validateTime checks outcome, seconds, time watched and timing together.
func (t BenchTest) validateTime() error {
	if err := trade.CheckAbove("time watched", t.WatchedS, 0, trade.LongestWatchS, "s"); err != nil {
		return err
	}
	if _, err := readTiming(t.Timing); err != nil {
		return err
	}
	switch t.Outcome {
	case None:
		if t.Seconds != 0 || t.SecondsTyped != "" {
			return trade.Refuse("seconds", "none has no seconds; leave them out, or say flashback")
		}
		return nil
	case Flashback:
		return t.validateSeconds()
	}
	return trade.Refuse("outcome", "%q is neither flashback nor none", t.Outcome)
}

func (t BenchTest) validateSeconds() error {
	if err := trade.CheckRange("seconds", t.Seconds, 0, trade.LongestWatchS, "s"); err != nil {
		return err
	}
	if t.Seconds > t.WatchedS {
		return trade.Refuse("seconds", "flashback at %s s is later than the %s s watched", trade.Number(t.Seconds),
			trade.Number(t.WatchedS))
	}
	if t.SecondsTyped == "" {
		return nil
	}
	typed, err := readSeconds(t.SecondsTyped)
	if err != nil {
		return err
	}
	if typed != t.Seconds {
		return trade.Refuse("seconds", "%q was typed but %s s is to be stored", t.SecondsTyped, trade.Number(t.Seconds))
	}
	return nil
}

// Trial returns the test as the estimate uses it: the interval in which flashback came, or
// none while watched, and the hand that made it.
//
// Errors: *FieldError for a timing that is not read; *calc.RangeError.
func (t BenchTest) Trial() (trial calc.Trial, err error) {
	pull := calc.Volume(t.PullML) * calc.Millilitre
	if t.Outcome == None {
		trial, err = calc.NoneTrial(pull, calc.Seconds(t.WatchedS))
	} else {
		off, readErr := t.off()
		if readErr != nil {
			return calc.Trial{}, readErr
		}
		trial, err = calc.TimedTrial(pull, calc.Seconds(t.Seconds), off)
	}
	trial.Hand = t.Tester.ID
	return trial, err
}

// off is how far the time may be off in either direction, by how it was taken.
//
// Errors: *FieldError for a timing that is not read.
func (t BenchTest) off() (calc.Seconds, error) {
	timing, err := readTiming(t.Timing)
	switch {
	case timing.Stopwatch:
		return calc.StopwatchError, err
	case timing.Taps:
		return calc.TapError, err
	}
	return calc.FilmError(timing.FPS), err
}

// Told is the time to flashback, rounded to the digits that the way of timing supports.
// Lists, counts and pictures show it; a receipt shows what was typed.
func (t BenchTest) Told() float64 {
	off, err := t.off()
	if err != nil {
		return t.Seconds // from a file of an older program, without a known way of timing
	}
	return quantity.Carried(t.Seconds, float64(off))
}
