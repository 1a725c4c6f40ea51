package commands

import (
	"time"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
)

// The bench of a test is written in one line: "pull 0.1 mL, whole milk, 20 °C, watched 30 s, video 30 fps". The parts
// may come in any order; a part that is left out has its usual value.

// benchLine writes the bench of a test.
func benchLine(t knowledge.BenchTest) string {
	parts := []string{
		"pull " + trimNumber(t.PullML) + " mL", t.Liquid, trimNumber(t.LiquidC) + " °C",
		"watched " + exactSeconds(t.WatchedS), t.Timing,
	}
	return joinNonEmpty(", ", append(parts, t.Lot.String())...)
}

// usualBench is the bench that is assumed where a test says nothing about it.
func usualBench() knowledge.BenchTest {
	return knowledge.BenchTest{PullML: usualPullML, Liquid: usualLiquid, LiquidC: usualLiquidC, WatchedS: usualWatchedS,
		Timing: usualTiming}
}

// readBench reads such a line into the options of a test, as a log line is read.
//
// Errors: *UserError where a part comes twice or cannot be read for sure.
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
