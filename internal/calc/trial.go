package calc

import (
	"cmp"
	"math"
)

// Setup is a combination as the model sees it: the full tube and the gas that
// is trapped behind the gel. Product and liquid are not part of it.
type Setup struct {
	Tube Tube
	Gas  Volume

	// UnrecordedWall is the gauge of a tube whose bore was not measured and whose
	// wall class is not on record, 0 for any other. Its bore is then one of the
	// standard's for that gauge, and Tube.Bore is that of AssumedWall.
	UnrecordedWall int
}

// check returns a *RangeError unless the set-up could exist.
func (s Setup) check() error {
	if s.UnrecordedWall != 0 {
		if _, err := MinimumBore(s.UnrecordedWall, AssumedWall); err != nil {
			return err
		}
	}
	if err := positive("bore", float64(s.Tube.Bore)); err != nil {
		return err
	}
	if err := positive("tube length", float64(s.Tube.Length)); err != nil {
		return err
	}
	return positive("trapped gas", float64(s.Gas))
}

// Trial is one timed test as the estimate uses it: flashback came between From
// and To. To = +Inf means that none came while the tester watched, From seconds.
type Trial struct {
	Pull     Volume
	From, To Seconds
	Hand     int64 // who made it: trials of a set-up with the same number share one hand
}

// None reports whether no flashback came while the tester watched.
func (t Trial) None() bool { return math.IsInf(float64(t.To), 1) }

// check returns a *RangeError unless the trial could have happened.
func (t Trial) check() error {
	if err := positive("pull", float64(t.Pull)); err != nil {
		return err
	}
	if t.None() {
		return positive("seconds watched", float64(t.From))
	}
	if err := notNegative("earliest time", float64(t.From)); err != nil {
		return err
	}
	if !(t.To > t.From) || t.To > maxFinite {
		return &RangeError{Name: "latest time", Value: float64(t.To), Want: "a finite number above the earliest"}
	}
	return nil
}

// compare orders the trials of one hand, those without flashback last, so that sums over
// them do not depend on the order in which they were logged.
func (t Trial) compare(u Trial) int {
	end := func(x Trial) Seconds { // of those without flashback none comes before one with
		if x.None() {
			return x.To
		}
		return 0
	}
	return cmp.Or(cmp.Compare(t.Pull, u.Pull), cmp.Compare(end(t), end(u)),
		cmp.Compare(t.From, u.From), cmp.Compare(t.To, u.To))
}

// How far a time can be off either way. Assumptions, no source: reaction time is
// common practice; a press in the chat has the same, twice, and the way of each press
// to the platform, whose own time stamps are taken.
const (
	reactionTime Seconds = 0.3
	tapTime      Seconds = 0.5
)

// FilmError, StopwatchError and TapError are how far a time can be off either way: one
// frame of a film of so many a second, a hand with a stopwatch, two presses in the chat.
func FilmError(fps float64) Seconds { return Seconds(1 / fps) }

// StopwatchError: see FilmError.
func StopwatchError() Seconds { return reactionTime }

// TapError: see FilmError.
func TapError() Seconds { return tapTime }

// VideoTrial is a test timed from a film: the time holds to one frame either
// way, never below 0. From the first frame on, 0 to 2 frames is legal.
//
// Domain: pull > 0, at ≥ 0 s, fps > 0 frames a second. Errors: *RangeError.
func VideoTrial(pull Volume, at Seconds, fps float64) (Trial, error) {
	if err := positive("frames a second", fps); err != nil {
		return Trial{}, err
	}
	return timedTrial(pull, at, FilmError(fps))
}

// StopwatchTrial is a test timed by hand: the time holds to the reaction time
// either way, never below 0.
//
// Domain: pull > 0, at ≥ 0 s. Errors: *RangeError.
func StopwatchTrial(pull Volume, at Seconds) (Trial, error) {
	return timedTrial(pull, at, reactionTime)
}

// TapTrial is a test timed by two presses of a button in the chat: the time holds to
// what two presses can be off either way, never below 0.
//
// Domain: pull > 0, at ≥ 0 s. Errors: *RangeError.
func TapTrial(pull Volume, at Seconds) (Trial, error) {
	return timedTrial(pull, at, tapTime)
}

func timedTrial(pull Volume, at, within Seconds) (Trial, error) {
	if err := notNegative("seconds", float64(at)); err != nil {
		return Trial{}, err
	}
	t := Trial{Pull: pull, From: max(0, at-within), To: at + within}
	return t, t.check()
}

// NoneTrial is a test in which no flashback came while the tester watched.
//
// Domain: pull > 0, watched > 0 s. Errors: *RangeError.
func NoneTrial(pull Volume, watched Seconds) (Trial, error) {
	t := Trial{Pull: pull, From: watched, To: Seconds(math.Inf(1))}
	return t, t.check()
}

// TestedSetup is a set-up with the tests the group made of it with one product.
type TestedSetup struct {
	Setup  Setup
	Trials []Trial
}
