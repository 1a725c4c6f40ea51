package calc

import (
	"flag"
	"os"
	"testing"
)

// calibrate runs the calibration at full length and writes docs/calibration.md.
var calibrate = flag.Bool("calibrate", false, "calibrate at full length and write docs/calibration.md")

func calibrating() bool { return *calibrate }

// The calibration at full length. A p below 0.01 is no surprise among more than
// fifty: one is drawn again, four times as long with fresh draws, and fails only
// if it is below 0.01 again.
const (
	drawsPerClass   = 125
	rankParts       = 20
	drawnAgain      = 2 * drawsPerClass
	wrongProducts   = 240
	advisedProducts = 480
)

func TestCalibration(t *testing.T) {
	if !calibrating() {
		t.Skip("minutes long: run with -calibrate; the short forms are TestRanksAreUniform, " +
			"TestLeavingOutEachCombinationOfTheDemoLog, TestLimitsHoldWhatTheyPromise")
	}
	r := report{}
	r.ranks(t)
	r.demo(t)
	r.wrongs(t)
	r.advices(t)
	r.spreads(t)
	r.learned(t)
	if err := os.WriteFile("../../docs/calibration.md", r.text.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
