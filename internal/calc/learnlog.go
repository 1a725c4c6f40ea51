package calc

import "fmt"

// ProductLog is all that a group tested of one product, every set-up once.
type ProductLog struct {
	Class  GelClass
	Tested []TestedSetup // in any order
}

// FewRepeatsError says that a group's log cannot replace the default spreads yet.
type FewRepeatsError struct {
	Repeats      int // a tester's tests beyond the first on a combination
	Combinations int // combinations with a repeat
}

// Error says what there is and what it takes.
func (e *FewRepeatsError) Error() string {
	return fmt.Sprintf("%d repeats by the same tester in %d combinations; it takes %d in %d to replace the default "+
		"spreads", e.Repeats, e.Combinations, RepeatsNeeded, RepeatedCombinationsNeeded)
}

// repeatCounts say how much a log can tell of the spreads.
type repeatCounts struct {
	tests, shown  int
	repeats       int // a tester's tests beyond the first on a combination
	repeatedOn    int // combinations with a repeat
	sharedBetween int // combinations with two testers or more
	testers       map[int64]bool
}

// add counts one product's tests.
func (c *repeatCounts) add(tested []TestedSetup) {
	for _, s := range tested {
		hands := map[int64]bool{}
		for _, t := range s.Trials {
			c.testers[t.Hand], hands[t.Hand] = true, true
			if !t.None() {
				c.shown++
			}
		}
		c.tests += len(s.Trials)
		c.repeats += len(s.Trials) - len(hands)
		if len(s.Trials) > len(hands) {
			c.repeatedOn++
		}
		if len(hands) > 1 {
			c.sharedBetween++
		}
	}
}
