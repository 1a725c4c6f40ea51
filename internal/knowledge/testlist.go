package knowledge

import (
	"iter"
	"slices"

	"holdbench/internal/calc"
)

// CountedTest is what counts of a kept test. Its note and its film are read only when they are
// shown; so ten thousand tests take a megabyte of memory.
type CountedTest struct {
	ID        int64
	TestedOn  string // day, 2006-01-02
	TesterRef string
	Trial     calc.Trial // its Hand is the tester's number
	PullML    float64
	WatchedS  float64
	None      bool    // no flashback while watched
	Seconds   float64 // when flashback came; 0 for none
	Told      float64 // the same, rounded as it is shown: BenchTest.Told
	Slip      float64 // probability of a slip of the pen, by the last estimate
}

// counted is what counts of a test.
//
// Errors: as Trial.
func (t BenchTest) counted() (c CountedTest, err error) {
	c = CountedTest{ID: t.ID, TestedOn: t.TestedOn, TesterRef: t.Tester.Ref, PullML: t.PullML, WatchedS: t.WatchedS,
		None: t.Outcome == None, Seconds: t.Seconds, Slip: t.Slip}
	if !c.None {
		c.Told = t.Told()
	}
	c.Trial, err = t.Trial()
	return c, err
}

// TestList is the kept tests of one combination, by day and then in the order logged. Callers
// share it, and none can change it.
type TestList struct{ all []CountedTest }

// ListOf makes a list of tests in this order.
//
// Errors: as BenchTest.Trial.
func ListOf(tests ...BenchTest) (l TestList, err error) {
	l.all = make([]CountedTest, len(tests))
	for i, t := range tests {
		if l.all[i], err = t.counted(); err != nil {
			return TestList{}, err
		}
	}
	return l, nil
}

// Len is how many tests there are.
func (l TestList) Len() int { return len(l.all) }

// All are the tests, the earliest first.
func (l TestList) All() iter.Seq[CountedTest] {
	return func(yield func(CountedTest) bool) {
		for i := range l.all {
			if !yield(l.all[i]) {
				return
			}
		}
	}
}

// Has reports whether a test of this number is among them.
func (l TestList) Has(id int64) bool {
	return slices.ContainsFunc(l.all, func(t CountedTest) bool { return t.ID == id })
}

// Days are those of the earliest test and of the latest, "" if there is none.
func (l TestList) Days() (first, last string) {
	if n := len(l.all); n > 0 {
		first, last = l.all[0].TestedOn, l.all[n-1].TestedOn
	}
	return first, last
}

// Times are the times to flashback as they are shown, and how long the tests without one were
// watched, seconds.
func (l TestList) Times() (shown, watched []float64) {
	for t := range l.All() {
		if t.None {
			watched = append(watched, t.WatchedS)
		} else {
			shown = append(shown, t.Told)
		}
	}
	return shown, watched
}

// Latest are the numbers of at most so many tests, the latest first, after skipping some.
func (l TestList) Latest(skip, most int) (ids []int64) {
	for i := len(l.all) - 1 - skip; i >= 0 && len(ids) < most; i-- {
		ids = append(ids, l.all[i].ID)
	}
	return ids
}
