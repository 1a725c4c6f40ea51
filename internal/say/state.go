package say

import (
	"slices"

	"holdbench/internal/calc"
)

// Mark names the shape that stands for a state where there is no room for words.
type Mark string

// The marks. Each can be told from the others by its shape alone.
const (
	FullDisc     Mark = "full disc"
	RingedDot    Mark = "dot in a ring"
	HalfDisc     Mark = "half disc"
	Hourglass    Mark = "hourglass"
	EmptyRing    Mark = "empty ring"
	QuestionMark Mark = "question mark"
	SmallDot     Mark = "small dot"
	ShortStroke  Mark = "short stroke"
	OpenSquare   Mark = "open square"
	Triangle     Mark = "triangle"
	Upturned     Mark = "triangle on its tip"
	DashedBox    Mark = "dashed box"
)

// Colour names the colour behind a mark. Package chart says what it looks like on light and on dark
// paper.
type Colour string

// The colours.
const (
	DeepBlue Colour = "deep blue"
	PaleBlue Colour = "pale blue"
	Ochre    Colour = "ochre"
	Clay     Colour = "clay"
	Blank    Colour = "white"
	Rust     Colour = "rust"
)

// Standing is how one state of a combination is said and shown, everywhere.
type Standing struct {
	State  calc.State
	Short  string // in a list: "hold", "too few tests"
	Colour Colour
	Mark   Mark
	When   string // when it applies, a whole sentence for the method page
}

// Standings lists the states in the order in which they are told: a hold, then the states that more
// waiting cannot mend, those that more tests can, and those that a trainer must look at; untested last.
func Standings() []Standing {
	return []Standing{
		{calc.StateHold, "hold", DeepBlue, FullDisc, "The tests carry a hold up to the ceiling."},
		{calc.StateNotSureEnough, "short of a hold", PaleBlue, RingedDot,
			"Most show by the ceiling, but for no hold up to it do tests and estimate both reach the target."},
		{calc.StateShowsSometimes, "only some show", PaleBlue, HalfDisc, "By the ceiling some show and some do not."},
		{calc.StateTooSlow, "too slow", Ochre, Hourglass, "Few show by the ceiling, half or more by 30 s."},
		{calc.StateNotExpected, "waiting does not help", Clay, EmptyRing, "Few show by the ceiling, and waiting " +
			"longer does not help."},
		{calc.StateNotSettled, "still open", Blank, QuestionMark, "The tests leave open how many show by the ceiling."},
		{calc.StateTooFewTests, "too few tests", Blank, SmallDot, "Fewer tests at this pull than the group asks for."},
		{calc.StateTooFewMembers, "too few members", Blank, ShortStroke,
			"Fewer members tested it than the group asks for."},
		{calc.StatePullNotTested, "pull not tested", Blank, OpenSquare,
			"Tested, but never at this pull or a smaller one."},
		{calc.StateUnlikeTheOthers, "unlike the others", Rust, Triangle,
			"Its tests do not fit the gel's other set-ups, and no trainer has looked at it since the last test."},
		{calc.StateUnlikeItsClass, "unlike its class", Rust, Upturned,
			"Its tests do not fit the gel class, no other set-up was tested, and no trainer has looked at it since " +
				"the last test."},
		{calc.StateUntested, "untested", Rust, DashedBox, "Nobody has tested it: all figures are a calculation."},
	}
}

// State returns a state's words for a list; what is no state stays as it is.
func State(state calc.State) string {
	if i := Place(state); i >= 0 {
		return Standings()[i].Short
	}
	return string(state)
}

// Place returns where a state comes in Standings, −1 for what is no state.
func Place(state calc.State) int {
	return slices.IndexFunc(Standings(), func(s Standing) bool { return s.State == state })
}
