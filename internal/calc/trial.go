package calc

import (
	"cmp"
	"math"
)

// Setup is a combination as the model sees it: the whole tube, and the gas trapped behind the
// gel. Product and liquid are not part of it.
type Setup struct {
	Tube Tube
	Gas  Volume

	// UnrecordedWall is 0 but for a tube whose bore was not measured and whose wall class is not
	// on record. Then it is the gauge: the bore is one of the standard's for that gauge, and
	// Tube.Bore is that of AssumedWall.
	UnrecordedWall int
}

// check returns a *RangeError unless the set-up could exist.
func (s Setup) check() error {
	if s.UnrecordedWall != 0 {
		if _, err := MinimumBore(s.UnrecordedWall, AssumedWall); err != nil {
			return err
		}
	}
	return cmp.Or(positive("bore", float64(s.Tube.Bore)), positive("tube length", float64(s.Tube.Length)),
		positive("trapped gas", float64(s.Gas)))
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

// compare orders trials by pull, those without flashback last, then by time. Sums over them then
// do not depend on the order in which they were logged.
func (t Trial) compare(u Trial) int {
	end := func(x Trial) Seconds { // the same for all with flashback
		if x.None() {
			return x.To
		}
		return 0
	}
	return cmp.Or(cmp.Compare(t.Pull, u.Pull), cmp.Compare(end(t), end(u)),
		cmp.Compare(t.From, u.From), cmp.Compare(t.To, u.To))
}

// How far a time may be off either way. Assumptions, no source: reaction time is common practice.
// A press in the chat has it as well, at both ends, and the way of each press to the platform,
// whose own time stamps are taken.
const (
	StopwatchError Seconds = 0.3
	TapError       Seconds = 0.5 // two presses in the chat
)

// FilmError is how far a time read from a film may be off either way: one of its frames.
func FilmError(fps float64) Seconds { return Seconds(1 / fps) }

// TimedTrial is a test in which flashback came at a time that may be off by so much either way;
// From is never below 0. On a film the first frames so give 0 to 2 frames.
//
// Domain: pull > 0, at ≥ 0 s, off > 0 s. Errors: *RangeError.
func TimedTrial(pull Volume, at, off Seconds) (Trial, error) {
	if err := cmp.Or(notNegative("seconds", float64(at)), positive("seconds either way", float64(off))); err != nil {
		return Trial{}, err
	}
	t := Trial{Pull: pull, From: max(0, at-off), To: at + off}
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
