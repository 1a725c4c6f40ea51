package calc

import "math"

// HoldRule is what a group asks of a hold.
type HoldRule struct {
	Ceiling      Seconds // the longest hold it calls usable
	Target       float64 // the share that has to have shown, between 0 and 1
	LeastTests   int     // 2 or more
	LeastMembers int     // 1 or more
}

// The least tests and members behind a hold that a group may set (the project's
// convention, no source).
const (
	LeastLeastTests   = 2
	LeastLeastMembers = 1
)

// SetupRecord is what a group has on record of the combination that a hold is asked for.
type SetupRecord struct {
	Tests        []RecordedTest // those not withdrawn, at any pull
	Looked       bool           // a trainer has looked at the set-up since its last test
	OthersTested bool           // another set-up of the gel was tested as well
}

// RecordedTest is one kept test with the probability that it is a slip.
type RecordedTest struct {
	Trial Trial
	Slip  float64 // see Estimate.Slips
}

// flaggedAbove is the probability of a slip above which a test is flagged.
const flaggedAbove = 0.5

// Reason is the code of why a hold is withheld.
type Reason string

// The reasons, in order: the first that applies is given.
const (
	Untested          Reason = "untested"
	PullNotTested     Reason = "pull not tested"
	TooFewTests       Reason = "too few tests"
	TooFewMembers     Reason = "too few members"
	UnlikeTheOthers   Reason = "unlike the others"
	DoesNotShowInTime Reason = "does not show in time"
	NotSureEnough     Reason = "not sure enough"
)

// The thresholds of the reasons (the project's convention, no source).
const (
	oddAbove     = 0.5 // a set-up is unlike the others if P(odd) is above this or Surprise below DisagreeBelow
	countingPull = 1.1 // a test counts if its pull was at most this many times the asked one

	// DisagreeBelow is the Surprise below which tests and estimate disagree.
	DisagreeBelow = 0.01
)

// rounding is the relative error that sums and products of typed numbers may have.
const rounding = 1e-9

// Advice is whether a hold is advised for a set-up at a pull, and which.
type Advice struct {
	Seconds  int    // the hold; 0 where it is withheld
	Withheld Reason // why; "" where a hold is advised
	Verdict  Verdict

	Counting, Tests, Members   int  // counting tests; those of them not flagged; the members who made these
	NeededTests, NeededMembers int  // still missing from the least numbers
	Shown                      int  // of Counting: shown by the hold, or by the ceiling where none is advised
	AlikeOnlyClass             bool // unlike the gel's class, for no other set-up was tested

	// Surprise is Forecast.Surprise of the tests on record at the ceiling.
	Surprise float64
	// Near says that only missing tests withhold the hold, as far as the estimate and the tests
	// there are can tell.
	Near bool
}

// Missing is the least number of further tests that a hold takes, some of them by other members.
// It orders the combinations that are nearest to a hold.
func (a Advice) Missing() int { return max(a.NeededTests, a.NeededMembers) }

// Advise returns whether a hold is advised at the forecast's pull, and which: the smallest whole
// second h up to the ceiling such that
//
//	(a) the mean share by h reaches the target,
//	(b) the low limit (10 % point) of the share by h reaches the target, and
//	(c) of the n counting tests, flagged or not, at least target × n had shown by h,
//
// unless one of the reasons applies. A test counts if its pull was at most 1.1 times the
// forecast's: a smaller pull is slower. It had shown by the middle of its interval, the time that
// was read.
//
// Domain: record of this very set-up. A target outside 0 to 1 is never reached; least numbers
// below LeastLeastTests and LeastLeastMembers count as these. Errors: none.
// Source: the rule is this project's own; what it rests on is in docs/calibration.md.
func (f *Forecast) Advise(rule HoldRule, record SetupRecord) Advice {
	counting := record.counting(f.pull)
	a := Advice{Verdict: f.Verdict(rule.Ceiling), Counting: len(counting)}
	members := map[int64]bool{}
	for _, t := range counting {
		if !(t.Slip > flaggedAbove) {
			a.Tests++
			members[t.Trial.Hand] = true
		}
	}
	a.Members = len(members)
	a.NeededTests = max(max(rule.LeastTests, LeastLeastTests)-a.Tests, 0)
	a.NeededMembers = max(max(rule.LeastMembers, LeastLeastMembers)-a.Members, 0)
	a.Seconds = firstSecond(rule.Ceiling, func(h int) bool {
		return enoughShown(counting, Seconds(h), rule.Target) && f.reaches(Seconds(h), rule.Target)
	})
	a.Surprise = f.Surprise(record.trials(), rule.Ceiling)
	odd := !record.Looked && len(record.Tests) > 0 && (f.odd > oddAbove || a.Surprise < DisagreeBelow)
	a.AlikeOnlyClass = odd && !record.OthersTested
	a.Near = a.Missing() > 0 && !odd && a.Verdict == ShowsInTime && a.Seconds > 0
	by := rule.Ceiling
	if a.Withheld = a.reason(len(record.Tests), odd); a.Withheld == "" {
		by = Seconds(a.Seconds)
	} else {
		a.Seconds = 0
	}
	a.Shown = shownOf(counting, by)
	return a
}

// reason returns the first reason that applies, "" where none does. tests is how many are on
// record; odd says that the set-up is unlike the gel's others and no trainer has looked at it.
func (a Advice) reason(tests int, odd bool) Reason {
	switch {
	case tests == 0:
		return Untested
	case a.Counting == 0:
		return PullNotTested
	case a.NeededTests > 0:
		return TooFewTests
	case a.NeededMembers > 0:
		return TooFewMembers
	case odd:
		return UnlikeTheOthers
	case a.Verdict != ShowsInTime:
		return DoesNotShowInTime
	case a.Seconds == 0:
		return NotSureEnough
	}
	return ""
}

// counting returns the tests that count at a pull.
func (r SetupRecord) counting(pull Volume) (tests []RecordedTest) {
	for _, t := range r.Tests {
		if t.Trial.check() == nil && t.Trial.Pull <= countingPull*pull*(1+rounding) {
			tests = append(tests, t)
		}
	}
	return tests
}

// trials returns the tests without their slips.
func (r SetupRecord) trials() []Trial {
	trials := make([]Trial, len(r.Tests))
	for i, t := range r.Tests {
		trials[i] = t.Trial
	}
	return trials
}

// reaches reports whether the mean share by a time and its low limit reach a target.
func (f *Forecast) reaches(by Seconds, target float64) bool {
	if !(target > 0 && target < 1) {
		return false
	}
	m := f.margin(by)
	return m.below(m.test*quantileOfNormal(target)) <= tailOfShare && m.share() >= target
}

// firstSecond returns the smallest whole second up to the ceiling at which enough is true, 0 if
// there is none. What is enough at one second is enough at every later one.
func firstSecond(ceiling Seconds, enough func(h int) bool) int {
	if !(ceiling >= 1) {
		return 0
	}
	lo, hi := 1, int(math.Floor(float64(min(ceiling, longestTime))))
	if !enough(hi) {
		return 0
	}
	for lo < hi {
		if mid := (lo + hi) / 2; enough(mid) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// shownOf counts the tests that had shown by a time.
func shownOf(tests []RecordedTest, by Seconds) (n int) {
	for _, t := range tests {
		if t.Trial.shownBy(by) {
			n++
		}
	}
	return n
}

// enoughShown reports whether at least that part of the tests had shown by a time.
func enoughShown(tests []RecordedTest, by Seconds, target float64) bool {
	return float64(shownOf(tests, by)) >= target*float64(len(tests))-rounding
}
