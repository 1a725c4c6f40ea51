package commands

import (
	"fmt"
	"math"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// testsLine is what the tests showed: by the hold where there is one, so that whoever
// doubts it can look, else by the ceiling.
func testsLine(e *knowledge.Evidence) string {
	n, by := e.Counts, e.Ceiling
	if hold := holdSeconds(e); hold != nil {
		by = calc.Seconds(*hold)
	}
	shown, later := 0, 0
	for t := range e.Tests.All() {
		switch {
		case t.None:
		case t.Seconds <= float64(by):
			shown++
		default:
			later++
		}
	}
	text := fmt.Sprintf("%d of %d shown by %s", shown, n.Run, exactSeconds(float64(by)))
	if least, most := pulls(e.Tests); least != most {
		text += ", all pulls"
	}
	if later > 0 {
		text += fmt.Sprintf(", %d later", later)
	}
	if n.None > 0 {
		text += fmt.Sprintf(", %d none", n.None)
	}
	if shown+later > 0 && e.State != calc.StateHold {
		text += ", longest " + exactSeconds(n.Longest)
	}
	return text
}

// ownTests says what the asker's own tests of a combination showed, "" for none:
// many trust first what they timed themselves.
func ownTests(tests knowledge.TestList, ref string) string {
	run, shown, longest := 0, 0, 0.0
	for t := range tests.All() {
		if t.TesterRef != ref {
			continue
		}
		run++
		if !t.None {
			shown, longest = shown+1, max(longest, t.Told)
		}
	}
	switch {
	case run == 0:
		return ""
	case shown == 0:
		return count(run, "test") + ", none shown"
	case shown == run && run == 1:
		return "1 test, shown by " + exactSeconds(longest)
	case shown == run:
		return fmt.Sprintf("%s, all shown by %s", count(run, "test"), exactSeconds(longest))
	}
	return fmt.Sprintf("%s, %d shown by %s, %d none", count(run, "test"), shown, exactSeconds(longest), run-shown)
}

// oldTests says from when to when the tests are where the latest is older than a year.
func oldTests(tests knowledge.TestList, today string) string {
	first, last := tests.Days()
	now, err := time.Parse(dateForm, today)
	if err != nil || last == "" || last >= now.AddDate(-1, 0, 0).Format(dateForm) {
		return ""
	}
	if first == last {
		return "Tested on " + last + ", and not since."
	}
	return "Tested from " + first + " to " + last + ", and not since."
}

// pulls is the smallest and the largest pull of the tests, mL.
func pulls(tests knowledge.TestList) (least, most float64) {
	least = math.Inf(1)
	for t := range tests.All() {
		least, most = min(least, t.PullML), max(most, t.PullML)
	}
	return min(least, most), most
}

// mostFew is up to how many tests the sentence for a small number is said; from
// there on it would speak of 1 in 10 and less.
const mostFew = 20

// fewTests is the plain sentence for a small number of tests that all ended the
// same way, "" where it does not apply.
func fewTests(e *knowledge.Evidence) string {
	n := e.Counts
	if n.Run > mostFew || n.TooShort > 0 {
		return ""
	}
	share, err := calc.CouldStillFail(n.Run, 0.95)
	if err != nil {
		return "" // no tests at all
	}
	rest := shareWords(share)
	switch {
	case n.Run == 1:
		return "One test only; the next may differ."
	case n.ShownByCeiling == n.Run:
		return fmt.Sprintf("With %d tests, all shown, up to %s of the rest could still fail to show.", n.Run, rest)
	case n.None == n.Run:
		return fmt.Sprintf("With %d tests, none shown, up to %s of the rest could still show.", n.Run, rest)
	}
	return ""
}

// settleLine says how many more tests would likely settle the verdict.
func settleLine(e *knowledge.Evidence) string {
	more, ok := e.Forecast.MoreTests(e.Ceiling)
	if !ok {
		return "More tests will not decide this."
	}
	return fmt.Sprintf("About %s would likely settle it.", count(more, "more test"))
}

// typedWords is the outcome as its maker gave it: a stopwatch's seconds are said back to the last digit typed.
func typedWords(t knowledge.BenchTest) string {
	if t.Outcome == knowledge.Flashback && t.Timing == usualTiming {
		return exactSeconds(t.Seconds)
	}
	return resultWords(t)
}

// resultWords is the outcome of a test: the seconds as their timing carries, or none.
func resultWords(t knowledge.BenchTest) string {
	if t.Outcome == knowledge.None {
		return "none in " + trimNumber(t.WatchedS) + " s"
	}
	return exactSeconds(t.Told())
}
