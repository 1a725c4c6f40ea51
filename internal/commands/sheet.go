package commands

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
)

const (
	benchName = "bench sheet"

	// mostRepeats is how often one syringe is tested in a session: a nearly finished one has no more gel than that
	// (assumption, no source).
	mostRepeats = 5
	// sheetConfidence is the confidence for how many tests, all showing, prove the group's target share by themselves
	// (convention, no source).
	sheetConfidence = 0.9
)

var benchCommand = &Command{
	Name:    benchName,
	Short:   "what to test from your box, in order",
	Summary: "A run sheet for what waits in your bench box: order, repeats, how long to watch",
	Help: "For exactly what you have put aside, the most telling tests first. Repeats are as many as would likely " +
		"settle the verdict, as far as one syringe allows.",
	Options: []Option{
		{Name: allOption, Help: "everybody's box, for a session together", Kind: YesNo},
	},
	Who:      anyMember,
	Admits:   true,
	Bearing:  Bearing{Bench: true},
	Shared:   true,
	Examples: []string{"/bench sheet", "/bench sheet all:yes"},
	Run:      runBench,
}

// sheetRow is one syringe on the run sheet.
type sheetRow struct {
	item     knowledge.BoxItem
	evidence *knowledge.Evidence
	score    float64 // what one more test is worth to all who use it
	settled  bool
	alike    int // syringes of the same combination on the sheet
}

func runBench(ctx context.Context, env *Env, call *Call) (Card, error) {
	items, _, err := boxOf(ctx, env, call)
	if err != nil {
		return Card{}, err
	}
	if len(items) == 0 {
		return emptySheet(call.settings.Ceiling), nil
	}
	rows, err := sheetRows(ctx, env, items)
	if err != nil {
		return Card{}, err
	}
	return sheetCard(rows, call.today())
}

// sheetRows puts the syringes in order: the unsettled first, those for which one test is worth most at the top.
func sheetRows(ctx context.Context, env *Env, items []knowledge.BoxItem) ([]sheetRow, error) {
	alike := map[string]int{}
	for _, item := range items {
		alike[pin(item.Combination)]++
	}
	var rows []sheetRow
	for _, item := range items {
		e, err := env.Group.Evidence(ctx, item.Combination, calc.DefaultPull)
		if err != nil {
			return nil, err
		}
		worth, err := e.Forecast.Worth(e.Ceiling, knowledge.WatchSeconds(e.Ceiling))
		if err != nil {
			return nil, err
		}
		rows = append(rows, sheetRow{
			item: item, evidence: e, alike: alike[pin(item.Combination)],
			score:   float64(max(1, e.SetupHolders)) * worth.Loss(),
			settled: e.Tested && !knowledge.TestsMayMend(e.State),
		})
	}
	slices.SortStableFunc(rows, func(a, b sheetRow) int {
		if a.settled != b.settled {
			if a.settled {
				return 1
			}
			return -1
		}
		return cmp.Compare(b.score, a.score)
	})
	return rows, nil
}

// sheetCard is the run sheet of a day.
func sheetCard(rows []sheetRow, day string) (Card, error) {
	ceiling := rows[0].evidence.Ceiling
	c := Card{Title: "Run sheet: " + count(len(rows), "syringe"),
		Verdict: "In this order, the most telling tests first."}
	var labels []string
	for i, row := range rows[:min(len(rows), mostOnSheet)] {
		words, err := row.words()
		if err != nil {
			return Card{}, err
		}
		c.fact(fmt.Sprintf("%d. %s", i+1, row.item.Label()), "%s; %s", stockWords(row.item.Combination),
			words+outWords(row.item.Lot, day))
		labels = append(labels, row.item.Label())
		c.sayBehind(row.evidence)
	}
	c.andMore(len(rows)-mostOnSheet, ", on the next sheet once these are logged")
	c.benchSteps(ceiling)
	c.fact("Log all at once", "as in /%s %s", batchName, sheetExample(labels))
	for _, label := range labels[:min(len(labels), mostWatchButtons)] {
		c.Actions = append(c.Actions, Action{Label: "watch " + label, Tap: true,
			Request: Request{Command: watchName}.with(labelOption, label)})
	}
	c.Actions = append(c.Actions, Action{Label: "log the results", Tap: true, Request: Request{
		Command: batchName, Filled: map[string]string{resultsField: strings.Join(labels, " \n") + " ",
			benchField: benchLine(sheetBench(ceiling))},
	}})
	return c, nil
}

// benchSteps says how each test is made.
func (c *Card) benchSteps(ceiling calc.Seconds) {
	watch := exactSeconds(float64(knowledge.WatchSeconds(ceiling)))
	c.fact("Liquid", "%s at %d °C; check with a thermometer and write down what it says.", usualLiquid, usualLiquidC)
	c.fact("Pull", "%s mL, drawn in one go and held there.", trimNumber(usualPullML))
	c.fact("Watch", "until it shows, or for %s: longer would tell no more.", watch)
	c.fact("Film", "label, hub and plunger in view, 30 frames a second or more, from before the pull.")
	c.fact("Time", "from the plunger at its mark to the first liquid in the hub.")
	c.fact("Between repeats", "push the liquid out until gel stands at the tip again; no gel left, no more repeats.")
	c.fact("Write down", "label, seconds or none, frames a second, temperature, anything odd.")
}

// emptySheet says how a test is made, for an empty box.
func emptySheet(ceiling calc.Seconds) Card {
	c := Card{Title: "How a bench test is made",
		Verdict: "The box is empty. Once a syringe is put aside, the sheet says what to test, and in what order."}
	c.benchSteps(ceiling)
	c.fact("Put one aside", "as in %s", asideCommand.Examples[0])
	return c
}

// sheetExample is a message with made-up results for the first labels.
func sheetExample(labels []string) string {
	var parts []string
	for i, result := range []string{"3.4", "none", "0:12.40-0:17.13"} {
		if i < len(labels) {
			parts = append(parts, labels[i]+" "+result)
		}
	}
	return strings.Join(parts, ", ")
}

// mostWatchButtons is how many lines of the sheet have a button that times them: one row of buttons. A watch goes on to
// the next label by itself.
const mostWatchButtons = 4

// mostOnSheet is how many syringes one card holds beside the instructions.
const mostOnSheet = 12

// sheetBench is the bench as the run sheet asks for it.
func sheetBench(ceiling calc.Seconds) knowledge.BenchTest {
	bench := usualBench()
	bench.WatchedS = float64(knowledge.WatchSeconds(ceiling))
	return bench
}

// words says how often to test one syringe, and why.
func (r sheetRow) words() (string, error) {
	why, err := r.why()
	return timesWords(r.repeats()) + why, err
}

// why is the reason for the number of tests, in the words that follow the number.
func (r sheetRow) why() (string, error) {
	e := r.evidence
	if r.settled {
		words := fmt.Sprintf(", if there is time: %s after %s", say.State(e.State), count(e.Counts.Run, "test"))
		if e.State != calc.StateHold || e.Counts.ShownByCeiling != e.Counts.Run {
			return words, nil
		}
		need, err := calc.SuccessRun(e.Target, sheetConfidence)
		if err != nil || need <= e.Counts.Run {
			return words, err
		}
		return fmt.Sprintf("%s; it would take %d, all shown, to prove %s without the calculation", words, need,
			say.Target(e.Target)), nil
	}
	state := "never tested"
	if e.Tested {
		state = say.State(e.State) + " by " + count(e.Counts.Run, "test")
	}
	if missing := say.Missing(e.Advice); e.Tested && missing != "" {
		return ": a hold needs " + missing, nil
	}
	more, ok := e.Forecast.MoreTests(e.Ceiling)
	if !ok {
		return ": " + state + "; it may stay unsettled", nil
	}
	words := ": " + state + ", about " + trimNumber(float64(max(more, 1))) + " more would likely settle it"
	if r.alike > 1 {
		words += fmt.Sprintf(", shared among %d syringes", r.alike)
	}
	return words, nil
}

func timesWords(n int) string {
	if n == 1 {
		return "once"
	}
	return trimNumber(float64(n)) + " times"
}
