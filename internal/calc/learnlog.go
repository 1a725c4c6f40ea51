package calc

import (
	"cmp"
	"fmt"
	"slices"
)

// LoggedTrial is one test with the set-up it was made on and the hand that made it.
type LoggedTrial struct {
	Setup  Setup
	Tester string // any name that tells testers apart
	Trial  Trial
}

// ProductLog is all that a group tested of one product.
type ProductLog struct {
	Class GelClass
	Tests []LoggedTrial // in any order
}

// FewRepeatsError says that a group's log cannot replace the default spreads yet.
type FewRepeatsError struct {
	Repeats      int // a tester's tests beyond the first on a combination
	Combinations int // with at least one of them
}

// Error says what there is and what it takes.
func (e *FewRepeatsError) Error() string {
	return fmt.Sprintf("%d repeats by the same tester in %d combinations; it takes %d in %d to replace the default spreads",
		e.Repeats, e.Combinations, RepeatsNeeded, RepeatedCombinationsNeeded)
}

// repeatCounts are what says how much a log can tell of the spreads.
type repeatCounts struct {
	tests, shown  int
	repeats       int // a tester's tests beyond the first on a combination
	repeatedOn    int // combinations with a repeat
	sharedBetween int // combinations with two testers or more
	testers       map[string]bool
}

// add counts one product's tests, sorted by set-up and tester.
func (c *repeatCounts) add(tests []LoggedTrial) {
	for rest := tests; len(rest) > 0; {
		n := loggedRun(rest, func(a, b LoggedTrial) bool { return a.Setup == b.Setup })
		c.addSetup(rest[:n])
		rest = rest[n:]
	}
}

func (c *repeatCounts) addSetup(tests []LoggedTrial) {
	hands := 0
	for i, t := range tests {
		c.testers[t.Tester] = true
		if i == 0 || tests[i-1].Tester != t.Tester {
			hands++
		}
		if !t.Trial.None() {
			c.shown++
		}
	}
	c.tests += len(tests)
	c.repeats += len(tests) - hands
	if len(tests) > hands {
		c.repeatedOn++
	}
	if hands > 1 {
		c.sharedBetween++
	}
}

// loggedRun returns how many of the first tests belong together.
func loggedRun(tests []LoggedTrial, same func(a, b LoggedTrial) bool) int {
	n := 1
	for n < len(tests) && same(tests[0], tests[n]) {
		n++
	}
	return n
}

// sorted returns the tests by set-up, tester and time, so that sums over them do
// not depend on the order in which they were logged.
func (l ProductLog) sorted() []LoggedTrial {
	tests := slices.Clone(l.Tests)
	slices.SortStableFunc(tests, func(a, b LoggedTrial) int {
		return cmp.Or(a.Setup.compare(b.Setup), cmp.Compare(a.Tester, b.Tester), a.Trial.compare(b.Trial))
	})
	return tests
}
