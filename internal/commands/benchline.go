package commands

import (
	"strings"
	"time"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
)

// The bench of a test in one line: "pull 0.1 mL, whole milk, 20 °C, watched
// 30 s, video 30 fps". Parts stand in any order; what is left out is usual.

// benchLine writes the bench of a test.
func benchLine(t knowledge.BenchTest) string {
	parts := []string{
		"pull " + trimNumber(t.PullML) + " mL", t.Liquid, trimNumber(t.LiquidC) + " °C",
		"watched " + exactSeconds(t.WatchedS), t.Timing,
	}
	if lot := t.Lot.String(); lot != "" {
		parts = append(parts, lot)
	}
	return strings.Join(parts, ", ")
}

// usualBench is the bench of a test that says nothing about it.
func usualBench() knowledge.BenchTest {
	return knowledge.BenchTest{PullML: usualPullML, Liquid: usualLiquid, LiquidC: usualLiquidC, WatchedS: usualWatchedS,
		Timing: usualTiming}
}

// readBench reads such a line into the options of a test, as a log line is read.
//
// Errors: *UserError where a part stands there twice or is open.
func readBench(line string, today time.Time) (map[string]string, error) {
	read, err := logline.ReadBench(line, today)
	if err != nil {
		return nil, refuse("Write it as: "+benchLine(usualBench())+".", "%s", err.Error())
	}
	values := map[string]string{}
	for name, v := range map[string]float64{"pull": read.PullML, "watched": read.WatchedS()} {
		if v > 0 {
			values[name] = trimNumber(v)
		}
	}
	if read.LiquidC != nil {
		values["temperature"] = trimNumber(*read.LiquidC)
	}
	if read.Liquid != "" {
		values["liquid"] = read.Liquid
	}
	if read.Timing != nil {
		values["timing"] = read.Timing.String()
	}
	if read.Note != "" {
		values["note"] = read.Note
	}
	if lot := read.Lot.String(); lot != "" {
		values[lotOption] = lot
	}
	if !read.Day.IsZero() {
		values["date"] = read.Day.Format(dateForm)
	}
	return values, nil
}
