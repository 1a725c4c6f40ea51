package say

import (
	"strings"
	"testing"

	"holdbench/internal/calc"
)

// Each state has words, a mark of its own, and a headline that begins as its kind does.
func TestEveryStateIsSaidAndShown(t *testing.T) {
	marks, words := map[Mark]bool{}, map[string]bool{}
	for _, s := range Standings() {
		if s.Short == "" || s.When == "" || s.Colour == "" || marks[s.Mark] || words[s.Short] {
			t.Errorf("%+v lacks something, or looks or reads like another", s)
		}
		marks[s.Mark], words[s.Short] = true, true
		line := Headline(s.State, calc.Advice{Seconds: 6, NeededTests: 2, NeededMembers: 1, Tests: 1, Members: 1},
			calc.HoldRule{Ceiling: 10, Target: 0.9})
		begins := "NO HOLD: "
		switch s.State {
		case calc.StateHold:
			begins = "HOLD 6 s"
		case calc.StateUntested:
			begins = "UNTESTED"
		}
		if !strings.HasPrefix(line, begins) || s.State != calc.StateHold && strings.Contains(line, "6") {
			t.Errorf("%s is headed %q", s.State, line)
		}
		if got := State(s.State); got != s.Short || Standings()[Place(s.State)] != s {
			t.Errorf("%s is said as %q", s.State, got)
		}
	}
	if Place("nearly") >= 0 || State("nearly") != "nearly" {
		t.Error("a word that is no state was found")
	}
}

func TestMissingSaysHowManyAndByWhom(t *testing.T) {
	for _, c := range []struct {
		tests, members, leastTests, leastMembers int
		want                                     string
	}{
		{1, 1, 3, 2, "2 more tests, one by someone else"},
		{2, 1, 3, 2, "1 more test by someone else"},
		{5, 1, 3, 2, "1 more test by someone else"},
		{2, 2, 3, 2, "1 more test"},
		{1, 1, 3, 1, "2 more tests"},
		{1, 1, 5, 3, "4 more tests, 2 of them by others"},
		{1, 1, 3, 3, "2 more tests by 2 others"},
		{3, 2, 3, 2, ""},
		{9, 4, 3, 2, ""},
	} {
		a := calc.Advice{Tests: c.tests, Members: c.members, NeededTests: max(c.leastTests-c.tests, 0),
			NeededMembers: max(c.leastMembers-c.members, 0)}
		if got := Missing(a); got != c.want {
			t.Errorf("%d of %d tests by %d of %d members: %q, want %q", c.tests, c.leastTests, c.members,
				c.leastMembers, got, c.want)
		}
	}
}

func TestHeadlinesSayWhatIsMissing(t *testing.T) {
	few := calc.Advice{Tests: 1, Members: 1, NeededTests: 2, NeededMembers: 1}
	rule := calc.HoldRule{Ceiling: 12, Target: 0.95}
	most := calc.Advice{Tests: 6, Members: 4, Counting: 7, Shown: 6}
	if got, want := Headline(calc.StateNotSureEnough, most, calc.HoldRule{Ceiling: 10, Target: 0.9}),
		"NO HOLD: of 7 tests at this pull 6 showed by 10 s, a hold takes 9 in 10"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := StandsOn(0.1, most), "at 0.1 mL pull · 6 tests by 4 members, 1 more in doubt"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for state, want := range map[calc.State]string{
		calc.StateTooFewTests:     "NO HOLD: too few tests (1 of 3); needs 2 more tests, one by someone else",
		calc.StateNotExpected:     "NO HOLD: waiting does not help, few show by 12 s",
		calc.StateNotSureEnough:   "NO HOLD: not sure that 95 in 100 show by 12 s",
		calc.StateTooFewMembers:   "NO HOLD: too few members (1 of 2); needs 2 more tests, one by someone else",
		calc.StateUnlikeTheOthers: "NO HOLD: unlike the gel's other set-ups; a trainer has to look first",
		calc.StatePullNotTested:   "NO HOLD: not tested at this pull or a smaller one",
		calc.StateNotSettled:      "NO HOLD: the tests leave open how many show by 12 s",
		calc.StateShowsSometimes:  "NO HOLD: by 12 s some show, some do not",
		calc.StateTooSlow:         "NO HOLD: too slow, few show by 12 s, half or more by 30 s",
	} {
		if got := Headline(state, few, rule); got != want {
			t.Errorf("%s: %q, want %q", state, got, want)
		}
	}
	if got, want := StandsOn(0.1, few), "at 0.1 mL pull · 1 test by 1 member"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
