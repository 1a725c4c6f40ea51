package calc

import "math"

// GelClass is the family of gels a product belongs to. It carries the prior
// knowledge about a product that nobody has tested yet.
type GelClass string

// The gel classes. HA: hyaluronic acid gel; CaHA: calcium hydroxylapatite.
const (
	UncrosslinkedHA GelClass = "uncrosslinked HA"
	FineHA          GelClass = "fine HA"
	SoftHA          GelClass = "soft HA"
	MediumHA        GelClass = "medium HA"
	FirmHA          GelClass = "firm HA"
	CaHAPaste       GelClass = "CaHA paste"
	DilutedCaHA     GelClass = "diluted CaHA"
	UnknownGel      GelClass = "unknown"
)

// normal is a normal distribution by its mean and standard deviation.
type normal struct{ Mean, SD float64 }

// prior is what a gel class says about a product before any test: independent normals for ln K, n
// and ln τy, with n cut to minIndex … maxIndex.
type prior struct {
	LnConsistency normal // K in Pa·sⁿ
	Index         normal
	LnYield       normal // τy in Pa
}

// The range that the flow index is cut to: below it no gel of the trade is known, above it a gel
// would thicken as it flows (assumption, from memory).
const (
	minIndex = 0.12
	maxIndex = 1.0
)

// classPrior is one gel class and its prior, in the units of the table below.
type classPrior struct {
	class                  GelClass
	medianConsistency      float64 // Pa·sⁿ
	sdLnConsistency        float64
	meanIndex, sdIndex     float64
	medianYield, sdLnYield float64 // Pa, –
}

// classPriors are assumptions: ranges from memory, wide on purpose, and chosen so that the prior
// alone gives the published bench picture: about a third of tests within 1 s and two thirds within
// 10 s (TestPriorGivesThePublishedBenchPicture).
var classPriors = [...]classPrior{
	{UncrosslinkedHA, 3, 0.7, 0.55, 0.08, 1, 1.0},
	{FineHA, 12, 0.5, 0.45, 0.06, 5, 0.8},
	{SoftHA, 28, 0.5, 0.40, 0.06, 12, 0.8},
	{MediumHA, 45, 0.5, 0.36, 0.05, 30, 0.7},
	{FirmHA, 65, 0.5, 0.31, 0.05, 55, 0.6},
	{CaHAPaste, 85, 0.6, 0.32, 0.06, 100, 0.7},
	{DilutedCaHA, 20, 0.6, 0.45, 0.07, 10, 0.8},
	{UnknownGel, 45, 1.0, 0.38, 0.08, 25, 1.2},
}

// GelClasses lists the gel classes from the thinnest to the firmest, then the diluted paste and
// the unknown.
func GelClasses() []GelClass {
	classes := make([]GelClass, len(classPriors))
	for i, p := range classPriors {
		classes[i] = p.class
	}
	return classes
}

// Valid reports whether c is one of GelClasses.
func (c GelClass) Valid() bool {
	_, ok := c.prior()
	return ok
}

// prior returns what the class says before any test.
func (c GelClass) prior() (prior, bool) {
	for _, p := range classPriors {
		if p.class == c {
			return prior{
				LnConsistency: normal{math.Log(p.medianConsistency), p.sdLnConsistency},
				Index:         normal{p.meanIndex, p.sdIndex},
				LnYield:       normal{math.Log(p.medianYield), p.sdLnYield},
			}, true
		}
	}
	return prior{}, false
}
