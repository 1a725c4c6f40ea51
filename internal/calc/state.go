package calc

// State is what can be said of a combination at a pull, in one word for every surface:
// a hold, or what withholds it. The codes are no words for people.
type State string

// The states. Where it does not show in time the verdict says how.
const (
	StateHold            State = "hold"
	StateUntested        State = State(Untested)
	StatePullNotTested   State = State(PullNotTested)
	StateTooFewTests     State = State(TooFewTests)
	StateTooFewMembers   State = State(TooFewMembers)
	StateUnlikeTheOthers State = State(UnlikeTheOthers)
	StateUnlikeItsClass  State = "unlike its class"
	StateShowsSometimes  State = State(ShowsSometimes)
	StateTooSlow         State = State(TooSlow)
	StateNotExpected     State = State(NotExpected)
	StateNotSettled      State = State(NotSettled)
	StateNotSureEnough   State = State(NotSureEnough)
)

// State returns the state that the advice puts a combination in.
func (a Advice) State() State {
	switch {
	case a.Withheld == "":
		return StateHold
	case a.Withheld == UnlikeTheOthers && a.AlikeOnlyClass:
		return StateUnlikeItsClass
	case a.Withheld == DoesNotShowInTime:
		return State(a.Verdict)
	}
	return State(a.Withheld)
}
