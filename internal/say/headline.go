package say

import (
	"fmt"

	"holdbench/internal/calc"
)

// Headline is the first line of an answer: the hold, or that there is none and what is missing.
func Headline(state calc.State, a calc.Advice, rule calc.HoldRule) string {
	ceiling := Number(float64(rule.Ceiling)) + " s"
	switch state {
	case calc.StateHold:
		return fmt.Sprintf("HOLD %d s", a.Seconds)
	case calc.StateUntested:
		return "UNTESTED"
	case calc.StatePullNotTested:
		return "NO HOLD: not tested at this pull or a smaller one"
	case calc.StateTooFewTests, calc.StateTooFewMembers:
		return "NO HOLD: " + Reason(state, a) + "; needs " + Missing(a)
	case calc.StateUnlikeTheOthers:
		return "NO HOLD: unlike the gel's other set-ups; a trainer has to look first"
	case calc.StateUnlikeItsClass:
		return "NO HOLD: unlike its gel class; a trainer has to look first"
	case calc.StateShowsSometimes:
		return "NO HOLD: by " + ceiling + " some show, some do not"
	case calc.StateTooSlow:
		return "NO HOLD: too slow, few show by " + ceiling + ", half or more by 30 s"
	case calc.StateNotExpected:
		return "NO HOLD: waiting does not help, few show by " + ceiling
	case calc.StateNotSureEnough:
		if TestsShort(a, rule) {
			return fmt.Sprintf("NO HOLD: of %s at this pull %d showed by %s, a hold takes %s",
				Count(a.Counting, "test"), a.Shown, ceiling, Target(rule.Target))
		}
		return "NO HOLD: not sure that " + Target(rule.Target) + " show by " + ceiling
	}
	return "NO HOLD: the tests leave open how many show by " + ceiling
}

// TestsShort reports whether fewer of the tests showed by the ceiling than a hold takes.
func TestsShort(a calc.Advice, rule calc.HoldRule) bool {
	return float64(a.Shown) < rule.Target*float64(a.Counting)
}

// Reason says in few words why there is no hold, for a list.
func Reason(state calc.State, a calc.Advice) string {
	switch state {
	case calc.StateTooFewTests:
		return fmt.Sprintf("%s (%d of %d)", State(state), a.Tests, a.Tests+a.NeededTests)
	case calc.StateTooFewMembers:
		return fmt.Sprintf("%s (%d of %d)", State(state), a.Members, a.Members+a.NeededMembers)
	}
	return State(state)
}

// StandsOn says what an answer stands on, on the line under the headline.
func StandsOn(pullML float64, a calc.Advice) string {
	text := fmt.Sprintf("at %s mL pull · %s by %s", Number(pullML), Count(a.Tests, "test"), Count(a.Members, "member"))
	if doubtful := a.Counting - a.Tests; doubtful > 0 {
		text += fmt.Sprintf(", %d more in doubt", doubtful)
	}
	return text
}

// Missing says how many more tests, and by whom, a hold takes at least; "" where none are missing.
func Missing(a calc.Advice) string {
	others, more := a.NeededMembers, a.Missing()
	switch {
	case more == 0:
		return ""
	case others == 0:
		return Count(more, "more test")
	case others == more && more == 1:
		return "1 more test by someone else"
	case others == more:
		return fmt.Sprintf("%d more tests by %d others", more, others)
	case others == 1:
		return Count(more, "more test") + ", one by someone else"
	}
	return fmt.Sprintf("%d more tests, %d of them by others", more, others)
}
