package trade

// The pulls that a question may name, mL. No hand can draw less with any certainty, and no syringe of
// the trade gives more (assumption). Where none is named the pull is calc.DefaultPull.
const (
	SmallestPullML = 0.01
	LargestPullML  = 5.0
)

// LargestTestedPullML is the largest pull that a bench test may have, mL. It is more than anybody
// would draw on a bench, and it stops a slip of the decimal point (project's choice). The store has
// the same limit as a rule of its own.
const LargestTestedPullML = 1.0
