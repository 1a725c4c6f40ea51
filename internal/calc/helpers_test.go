package calc

import (
	"encoding/csv"
	"flag"
	"math"
	"os"
	"strconv"
	"testing"
)

// near reports whether got is within tol of want, relative to want.
func near(got, want, tol float64) bool {
	return math.Abs(got-want) <= tol*math.Abs(want)
}

// readFloats reads a CSV file of numbers under a heading line.
func readFloats(t *testing.T, name string, columns int) [][]float64 {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for _, line := range lines[1:] {
		row := make([]float64, columns)
		for i := range row {
			if row[i], err = strconv.ParseFloat(line[i], 64); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return rows
}

// setupOfGauge is a set-up of which only the gauge is on record: neither a measured
// bore nor the wall class. What is computed for it is a mixture over the standard's
// wall classes, and the set-up's own tests shift their weights.
//
// Domain: the gauges of Gauges, length and gas above 0. Errors: *RangeError.
func setupOfGauge(gauge int, length Length, gas Volume) (Setup, error) {
	bore, err := MinimumBore(gauge, AssumedWall)
	if err != nil {
		return Setup{}, err
	}
	s := Setup{Tube: Tube{Bore: bore, Length: length}, Gas: gas, UnrecordedWall: gauge}
	return s, s.check()
}

// states lists the states, a hold first, then what withholds one in the order in which
// it is looked at.
func states() []State {
	return []State{
		StateHold, StateUntested, StatePullNotTested, StateTooFewTests, StateTooFewMembers,
		StateUnlikeTheOthers, StateUnlikeItsClass, StateShowsSometimes, StateTooSlow, StateNotExpected, StateNotSettled,
		StateNotSureEnough,
	}
}

// long is what make nightly asks for.
var long = flag.Bool("long", false, "compute every case; takes some seconds more")

// computesAlone leaves a test out where tests are to be short: it computes for long and in one goroutine. Under the
// race detector that takes ten times as long, and make nightly has it whole.
func computesAlone(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("computes for long in one goroutine")
	}
}
