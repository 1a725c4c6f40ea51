package calc

import (
	"cmp"
	"fmt"
	"slices"
)

// WallClass says how thick the wall of a needle tube is. Gauge fixes the
// outside of a tube; only gauge and wall class together fix its bore.
type WallClass string

// The wall classes of ISO 9626.
const (
	Regular   WallClass = "regular"
	Thin      WallClass = "thin"
	ExtraThin WallClass = "extra-thin"
	UltraThin WallClass = "ultra-thin"
)

// AssumedWall is the wall class taken where none was recorded. An assumption: most needles sold
// for gels are thin wall or wider, and a narrower guess errs towards a longer hold.
const AssumedWall = Thin

// HubLength is how much of a needle tube is held inside its hub: the gel is drawn along that as
// well. An assumption, from memory; measured values belong with the instrument.
const HubLength = 5 * Millimetre

// WallClasses returns the wall classes, thickest wall first.
func WallClasses() []WallClass { return []WallClass{Regular, Thin, ExtraThin, UltraThin} }

// Valid reports whether w is one of the four wall classes.
func (w WallClass) Valid() bool {
	return slices.Contains(WallClasses(), w)
}

// boreRow is one gauge of the standard's table; 0 stands for a wall class that
// the table does not give.
type boreRow struct {
	gauge                               int
	regular, thin, extraThin, ultraThin Length
}

// boreTable is the minimum inner diameter by gauge and wall class.
//
// Source: ISO 9626:2016, table 1. Rows marked "seen" were read as quoted in
// AAPS PharmSciTech 22 (2021), doi 10.1208/s12249-021-01949-4; the rest are
// from memory.
var boreTable = [...]boreRow{
	{22, 0.390 * Millimetre, 0.440 * Millimetre, 0.522 * Millimetre, 0},                  // from memory
	{23, 0.317 * Millimetre, 0.370 * Millimetre, 0.460 * Millimetre, 0},                  // from memory
	{25, 0.232 * Millimetre, 0.292 * Millimetre, 0, 0},                                   // from memory
	{26, 0.232 * Millimetre, 0.292 * Millimetre, 0, 0},                                   // from memory
	{27, 0.184 * Millimetre, 0.241 * Millimetre, 0, 0},                                   // from memory
	{28, 0.133 * Millimetre, 0.190 * Millimetre, 0.240 * Millimetre, 0},                  // from memory
	{29, 0.133 * Millimetre, 0.190 * Millimetre, 0.240 * Millimetre, 0},                  // from memory
	{30, 0.133 * Millimetre, 0.165 * Millimetre, 0.190 * Millimetre, 0.240 * Millimetre}, // seen
	{31, 0.114 * Millimetre, 0.125 * Millimetre, 0.146 * Millimetre, 0.176 * Millimetre}, // from memory
	{32, 0.089 * Millimetre, 0.105 * Millimetre, 0.125 * Millimetre, 0.146 * Millimetre}, // seen
	{33, 0.089 * Millimetre, 0.105 * Millimetre, 0.125 * Millimetre, 0},                  // from memory
	{34, 0.064 * Millimetre, 0.091 * Millimetre, 0.105 * Millimetre, 0},                  // from memory
}

// Gauges returns the gauges that MinimumBore knows, widest tube first.
func Gauges() []int {
	gauges := make([]int, len(boreTable))
	for i, row := range boreTable {
		gauges[i] = row.gauge
	}
	return gauges
}

// MinimumBore returns the smallest inner diameter that the standard allows for
// a needle tube of that gauge and wall class.
//
// Domain:   the gauges of Gauges; the wall classes that exist for that gauge.
// Accuracy: a lower bound, not a measurement; the bore of a real tube is this
// or wider, by a tenth or so.
// Errors:   *RangeError for a gauge, or a gauge and wall class, not in the table.
// Source:   ISO 9626:2016; see boreTable for which rows were read and which
// are from memory.
func MinimumBore(gauge int, wall WallClass) (Length, error) {
	for _, row := range boreTable {
		if row.gauge != gauge {
			continue
		}
		if bore := row.bore(wall); bore > 0 {
			return bore, nil
		}
		return 0, &RangeError{Name: "gauge", Value: float64(gauge),
			Want: fmt.Sprintf("a gauge with a known bore for wall class %q", string(wall))}
	}
	return 0, &RangeError{Name: "gauge", Value: float64(gauge), Want: fmt.Sprintf("one of %v", Gauges())}
}

// bore returns the row's bore for a wall class, 0 where there is none.
func (r boreRow) bore(wall WallClass) Length {
	switch wall {
	case Regular:
		return r.regular
	case Thin:
		return r.thin
	case ExtraThin:
		return r.extraThin
	case UltraThin:
		return r.ultraThin
	}
	return 0
}

// Tube is the channel that the gel is drawn back along: the bore of a needle or cannula, over
// the length that is exposed and the length that is held in the hub.
type Tube struct{ Bore, Length Length }

// The sides of a tube that the package computes with, far beyond any needle or pipe at both
// ends. Inside them no product of sides overflows.
const (
	shortest = 1e-9 * Metre
	longest  = 1e6 * Metre
)

// check returns a *RangeError naming the side that is outside the domain.
func (t Tube) check() error {
	return cmp.Or(checkSide("bore", t.Bore), checkSide("tube length", t.Length))
}

// checkSide returns a *RangeError unless the length is one to compute with.
func checkSide(name string, l Length) error {
	return within(name, float64(l), float64(shortest), float64(longest), "1e-9 to 1e6 m")
}
