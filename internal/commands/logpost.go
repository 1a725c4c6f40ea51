package commands

import (
	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/quantity"
)

// fillFromPost fills in what a post says, read as a log line; what it does not say stays. The form shows it, and the
// tester decides.
func fillFromPost(v view, text string, filled map[string]string, bench *knowledge.BenchTest) {
	line := logline.ReadLog(text, v.index, v.now)
	filled[resultField] = line.Result()
	if line.Note != "" {
		filled[noteField] = line.Note
	}
	gel, setup := shared(line)
	if gel != "" {
		filled[gelField] = gel
	}
	if setup != "" || gel != "" { // the needle filled in is the last test's, not this one's
		filled[setupField] = setup
	}
	if line.Timing != nil {
		bench.Timing = line.Timing.String()
	} else if line.Film.Marks != "" && bench.Timing == usualTiming {
		bench.Timing = quantity.Timing{FPS: usualFPS}.String()
	}
	saidOfBench(bench, line)
	if len(line.Outcomes) == 1 && line.Outcomes[0].WatchedS > 0 {
		bench.WatchedS = line.Outcomes[0].WatchedS
	}
	bench.Lot = line.Lot
	if !line.Day.IsZero() {
		bench.TestedOn = line.Day.Format(dateForm)
	}
}

// shared is what all readings of a line have in common. With a single reading the gel is left out: it is open, for its
// name is not on the list.
func shared(line logline.Line) (gel, setup string) {
	if line.Setup.Outcome == question.One {
		c := line.Setup.Combination()
		return c.Product.Name, setupWords(c)
	}
	for i, p := range line.Picks {
		if p.Stated.Instrument == nil {
			return "", ""
		}
		if i == 0 {
			gel, setup = p.Stated.Product.Name, p.Stated.Instrument.Name()
		}
		if p.Stated.Product.Name != gel {
			gel = ""
		}
		if p.Stated.Instrument.Name() != setup {
			setup = ""
		}
	}
	if len(line.Picks) == 1 {
		gel = ""
	}
	return gel, setup
}
