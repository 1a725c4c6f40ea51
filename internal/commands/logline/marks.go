package logline

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// twoMarks are two numbers alone: a film's start and end, in frames or in seconds.
var twoMarks = regexp.MustCompile(`^(` + quantity.Decimal + `)\s*(?:-|to|till|until)\s*(` + quantity.Decimal +
	`)\s*(frames?)?$`)

// shortest is the shortest time between frames that is offered, s: no eye sees a shorter one (project's choice).
const shortest = 0.1

// askUnitOfMarks asks about a result of two numbers whether they are frames of a film or seconds on it. The answers
// say the time of each.
func (r *reader) askUnitOfMarks() {
	m := twoMarks.FindStringSubmatch(strings.Trim(string(r.plain), " ,;"))
	if m == nil || !(number(m[2]) > number(m[1])) {
		return
	}
	first, last := number(m[1]), number(m[2])
	q := Question{Text: m[1] + " to " + m[2] + ": seconds on a film?", kind: askFilm, number: m[1] + "-" + m[2]}
	whole := first == math.Trunc(first) && last == math.Trunc(last)
	rates := []float64{30, 60}
	if r.Timing != nil && r.Timing.FPS > 0 {
		rates = []float64{r.Timing.FPS}
	}
	for _, fps := range rates {
		if seconds := thousandths((last - first) / fps); whole && seconds >= shortest {
			rate := trade.Number(fps) + " fps"
			q.Text = m[1] + " to " + m[2] + ": frames of a film, or seconds on it?"
			q.Answers = append(q.Answers, Answer{"frames at " + rate + ": " + trade.Number(seconds) + " s",
				"frames " + m[1] + "-" + m[2] + " at " + rate})
		}
	}
	if m[3] != "" {
		q.Text = "How many frames a second has the film?"
	} else if last-first <= trade.LongestWatchS {
		q.Answers = append(q.Answers, Answer{"seconds: " + trade.Number(thousandths(last-first)) + " s",
			clockOf(first) + "-" + clockOf(last)})
	}
	r.take(0, len(r.plain))
	r.ask(q)
}

func thousandths(s float64) float64 { return math.Round(s*1000) / 1000 }

// clockOf is a time on a film as its clock has it.
func clockOf(seconds float64) string {
	minutes := math.Floor(seconds / 60)
	return fmt.Sprintf("%.0f:%s", minutes, trade.Number(thousandths(seconds-60*minutes)))
}
