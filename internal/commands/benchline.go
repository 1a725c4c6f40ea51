package commands

import (
	"regexp"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/quantity"
)

// The bench of a test in one line: "pull 0.1 mL, whole milk, 20 °C, watched
// 30 s, video 30 fps". Parts stand in any order; what is left out is usual.

var (
	benchPull = regexp.MustCompile(`(?i)^(?:pull|pulled|draw|drawn)\s*(?:of\s*)?(` + quantity.Decimal + `\s*` + quantity.VolumeUnit + `?)$` +
		`|^(` + quantity.Decimal + `\s*` + quantity.VolumeUnit + `)(?:\s*pull)?$`)
	benchWatched     = regexp.MustCompile(`(?i)^(?:watched|watching|watch)(?: for)?\s*(.+)$`)
	benchTemperature = regexp.MustCompile(`(?i)^(?:at\s*)?(` + quantity.Decimal + `)\s*` + quantity.DegreeUnit + `$`)
	benchTiming      = regexp.MustCompile(`(?i)^stop[- ]?watch$|^(?:video|film|slow)|` + quantity.RateUnit + `$`)
	benchDate        = regexp.MustCompile(`(?i)^(?:on\s+)?(?:` + quantity.WordedDay + `|` + quantity.FigureDay + `)$`)
)

// benchLine writes the bench of a test.
func benchLine(t knowledge.BenchTest) string {
	return strings.Join([]string{
		"pull " + trimNumber(t.PullML) + " mL", t.Liquid, trimNumber(t.LiquidC) + " °C",
		"watched " + exactSeconds(t.WatchedS), t.Timing,
	}, ", ")
}

// usualBench is the bench of a test that says nothing about it.
func usualBench() knowledge.BenchTest {
	return knowledge.BenchTest{PullML: usualPullML, Liquid: usualLiquid, LiquidC: usualLiquidC, WatchedS: usualWatchedS, Timing: usualTiming}
}

// partEnd is a comma or semicolon between parts, not the comma of 0,1 mL.
var partEnd = regexp.MustCompile(`[,;]\s+|;|,$`)

// readBench reads such a line into the options of a test. It tells the parts
// apart; whether a value is a possible one is for the options to say.
//
// Errors: *UserError where a part stands there twice.
func readBench(line string) (map[string]string, error) {
	values := map[string]string{}
	for _, part := range partEnd.Split(line, -1) {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		name, value := benchPart(part)
		if before, twice := values[name]; twice {
			return nil, refuse("Write it as: "+benchLine(usualBench())+".", "%s and %s are both taken for the %s.", echo(before), echo(part), name)
		}
		values[name] = value
	}
	return values, nil
}

// benchPart is the option that one part belongs to, and its value. What is
// nothing else is the liquid.
func benchPart(part string) (name, value string) {
	if m := benchPull.FindStringSubmatch(part); m != nil {
		return "pull", m[1] + m[2]
	}
	if m := benchWatched.FindStringSubmatch(part); m != nil {
		return "watched", m[1]
	}
	if m := benchTemperature.FindStringSubmatch(part); m != nil {
		return "temperature", m[1]
	}
	switch {
	case benchTiming.MatchString(part):
		return "timing", part
	case benchDate.MatchString(part):
		return "date", part
	}
	return "liquid", part
}
