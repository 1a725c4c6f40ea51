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
	OthersTested bool           // so was another set-up of the gel
}

// RecordedTest is one kept test with the probability that it is a slip.
type RecordedTest struct {
	Trial Trial
	Slip  float64 // see Estimate.Slips
}

// flaggedAbove is the probability of a slip above which a test is flagged.
const flaggedAbove = 0.5

// Reason is the code of what withholds a hold.
type Reason string

// The reasons, in the order in which they are looked at: the first that applies is given.
const (
	Untested          Reason = "untested"
	PullNotTested     Reason = "pull not tested"
	TooFewTests       Reason = "too few tests"
	TooFewMembers     Reason = "too few members"
	UnlikeTheOthers   Reason = "unlike the others"
	DoesNotShowInTime Reason = "does not show in time"
	NotSureEnough     Reason = "not sure enough"
)

// What the reasons turn on (the project's convention, no source).
const (
	oddAbove     = 0.5 // "unlike the others": P(odd) is above this, or Surprise below DisagreeBelow
	countingPull = 1.1 // a test counts if its pull was at most so many times the asked one

	// DisagreeBelow is the Surprise below which tests and estimate disagree.
	DisagreeBelow = 0.01
)

// rounding is the part by which sums of what was typed may be off.
const rounding = 1e-9

// Advice is whether a hold is advised for a set-up at a pull, and which.
type Advice struct {
	Seconds  int    // the hold; 0 where it is withheld
	Withheld Reason // why; "" where a hold is advised
	Verdict  Verdict

	Counting, Tests, Members   int  // counting tests; of them not flagged; by so many members
	NeededTests, NeededMembers int  // that the least numbers still want
	Shown                      int  // of Counting, by the hold, or else by the ceiling
	AlikeOnlyClass             bool // "unlike the others" stands against the gel's class: no other set-up was tested

	// Surprise is Forecast.Surprise of the tests on record at the ceiling.
	Surprise float64
	// Near says that nothing withholds the hold but the tests that are missing, as far
	// as the estimate and the tests that there are can tell.
	Near bool
}

// Missing is how many more tests it takes at least, some of them by others: what
// orders the combinations that are nearest to a hold.
func (a Advice) Missing() int { return max(a.NeededTests, a.NeededMembers) }

// Advise says whether a hold is advised at the forecast's pull, and which: the smallest
// whole second h up to the ceiling such that
//
//	(a) the mean share by h reaches the target
//	(b) so does its 10 % point
//	(c) of the n tests that count, flagged or not, at least target × n had shown by h
//
// and only if what is named by the reasons is there. A test counts if its pull was at
// most 1.1 times the forecast's: a smaller pull is slower. It had shown by the time that
// was read, the middle of its interval.
//
// Domain: record of this very set-up. A target outside 0 to 1 is never reached, least
// numbers below their least count as that. Errors: none.
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
	a.Seconds = f.firstSecond(rule, func(h int) bool {
		return enoughShown(counting, Seconds(h), rule.Target) && f.reaches(Seconds(h), rule.Target)
	})
	a.Surprise = f.Surprise(record.trials(), rule.Ceiling)
	// unlike the gel's others, and no trainer has looked at it
	odd := !record.Looked && len(record.Tests) > 0 && (f.odd > oddAbove || a.Surprise < DisagreeBelow)
	a.AlikeOnlyClass = odd && !record.OthersTested
	fails := map[Reason]bool{
		Untested: len(record.Tests) == 0, PullNotTested: len(counting) == 0,
		TooFewTests: a.NeededTests > 0, TooFewMembers: a.NeededMembers > 0,
		UnlikeTheOthers: odd, DoesNotShowInTime: a.Verdict != ShowsInTime, NotSureEnough: a.Seconds == 0,
	}
	for _, r := range Reasons() {
		if fails[r] {
			a.Withheld = r
			break
		}
	}
	a.Near = a.Missing() > 0 && !odd && a.Verdict == ShowsInTime && a.Seconds > 0
	by := rule.Ceiling
	if a.Withheld != "" {
		a.Seconds = 0
	} else {
		by = Seconds(a.Seconds)
	}
	a.Shown = shownOf(counting, by)
	return a
}

// Reasons lists the reasons in the order in which they are looked at.
func Reasons() []Reason {
	return []Reason{
		Untested, PullNotTested, TooFewTests, TooFewMembers, UnlikeTheOthers, DoesNotShowInTime, NotSureEnough,
	}
}

// counting are the tests that count at a pull.
func (r SetupRecord) counting(pull Volume) (tests []RecordedTest) {
	for _, t := range r.Tests {
		if t.Trial.check() == nil && t.Trial.Pull <= countingPull*pull*(1+rounding) {
			tests = append(tests, t)
		}
	}
	return tests
}

// trials are those of the tests.
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

// firstSecond is the smallest whole second up to the rule's ceiling for which holds is
// true, 0 if there is none. What holds for one second holds for all later ones.
func (f *Forecast) firstSecond(rule HoldRule, holds func(h int) bool) int {
	if !(rule.Ceiling >= 1) {
		return 0
	}
	lo, hi := 1, int(math.Floor(float64(min(rule.Ceiling, longestTime)))) // the answer, if any, lies from lo to hi
	if !holds(hi) {
		return 0
	}
	for lo < hi {
		if mid := (lo + hi) / 2; holds(mid) {
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
