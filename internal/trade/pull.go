package trade

// The pulls that a question may name, mL. A hand can draw no less with any
// certainty, and no syringe of the trade gives more (assumption). Where none is
// named it is calc.DefaultPull.
const (
	SmallestPullML = 0.01
	LargestPullML  = 5.0
)

// LargestTestedPullML is the largest pull that a bench test may have. It holds
// everything anybody would do on a bench and stops a slip of the decimal point
// (project's choice). The store holds it as a rule of its own, too.
const LargestTestedPullML = 1.0
