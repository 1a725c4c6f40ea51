package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// TesterComparison compares a group's testers: how long the same combination takes in the hands of
// one against those of the rest.
type TesterComparison struct {
	Group      string
	Confidence float64 // of the limits, 0.5 to 0.9999
	Testers    []Tester
	Dark       bool // on dark paper
}

// Tester is one tester against the rest. A ratio of times below 1 is shorter
// than the rest, above 1 longer.
type Tester struct {
	Name             string
	Tests            int
	Ratio, Low, High float64 // above 0, Low ≤ Ratio ≤ High; Ratio 0: too few tests to compare
	Differs          bool    // clearly differs from the rest
}

// mostTesters is how many testers one page takes.
const mostTesters = 14

// Pages returns how many pages the picture has, at least 1.
func (c TesterComparison) Pages() int { return newPages(len(c.Testers), mostTesters).count }

// Draw returns one page, counted from 1: the testers from short times to long, by name where equal,
// and those with too few tests last. All pages have the same axis. A group without testers gets a
// picture that says so.
//
// Errors: *calc.RangeError for a page that is not there or a figure outside its
// domain.
func (c TesterComparison) Draw(page int) (Picture, error) {
	if err := c.check(page); err != nil {
		return Picture{}, fmt.Errorf("testers compared: %w", err)
	}
	p := newTesterPage(c, page)
	blocks := []block{words("Testers compared", titleLetter, 1), words(tidy(c.Group), textLetter, 2), gap(10)}
	if len(c.Testers) == 0 {
		return compose(c.Dark, append(blocks, words(noTesters, textLetter, 2), gap(6),
			caveats())...).finish(withCaveats(noTesters))
	}
	blocks = append(blocks, words("Time against the rest, same combination.", textLetter, 2))
	blocks = append(blocks, words(p.Findings(), strongLetter, 3))
	if c.Pages() > 1 {
		blocks = append(blocks, words(p.pageWords(), labelLetter.in(quiet), 2))
	}
	blocks = append(blocks, gap(16), p.rows(), gap(14), legend(p.keys()), words(whoIsRight, labelLetter, 2), caveats())
	return compose(c.Dark, blocks...).finish(p.alt())
}

// check returns an error for a figure that cannot be drawn.
func (c TesterComparison) check(page int) error {
	faults := []error{checkPage(page, c.Pages()), inRange("confidence", c.Confidence, 0.5, 0.9999)}
	for _, t := range c.Testers {
		faults = append(faults, inRange("tests", float64(t.Tests), 0, math.MaxInt32))
		if t.Ratio != 0 {
			faults = append(faults, inRange("low limit", t.Low, 1e-9, 1e9), inRange("ratio", t.Ratio, t.Low, 1e9),
				inRange("high limit", t.High, t.Ratio, 1e9))
		}
	}
	return cmp.Or(faults...)
}

// Findings says how many of the whole group clearly differ.
func (c TesterComparison) Findings() string {
	var shorter, longer, compared int
	for _, t := range c.Testers {
		switch {
		case !t.compared():
			continue
		case t.Differs && t.Ratio < 1:
			shorter++
		case t.Differs:
			longer++
		}
		compared++
	}
	switch {
	case compared == 0:
		return "Too few tests to compare anybody yet."
	case shorter+longer == 0:
		return fmt.Sprintf("Of %d compared, none clearly differs from the others.", compared)
	}
	return fmt.Sprintf("Of %d compared, %d clearly shorter, %d clearly longer.", compared, shorter, longer)
}

// compared reports whether there were enough tests to compare.
func (t Tester) compared() bool { return t.Ratio != 0 }

// testerPage is one page of the comparison.
type testerPage struct {
	TesterComparison
	page  int
	order []Tester // all testers as they stand
	from  int
	to    int
	axis  logAxis // of ratios, 1 in the middle
}

func newTesterPage(c TesterComparison, page int) testerPage {
	p := testerPage{TesterComparison: c, page: page, order: slices.Clone(c.Testers), axis: newRatioAxis(c.Testers)}
	slices.SortStableFunc(p.order, func(a, b Tester) int {
		return cmp.Or(falseFirst(!a.compared(), !b.compared()), cmp.Compare(a.Ratio, b.Ratio),
			cmp.Compare(a.Name, b.Name))
	})
	p.from, p.to = newPages(len(p.order), mostTesters).span(page - 1)
	return p
}

// The least and the most that the axis of ratios reaches: limits beyond are cut off with an arrow.
const (
	leastReach = 1.6
	mostReach  = 8
)

// newRatioAxis returns an axis that holds every limit, as far as mostReach.
func newRatioAxis(testers []Tester) logAxis {
	most := leastReach
	for _, t := range testers {
		if t.compared() {
			most = max(most, 1.1*max(t.High, 1/t.Low))
		}
	}
	most = min(most, mostReach)
	return logAxis{from: 1 / most, to: most, left: testersLeft, right: testersRight}
}

// ratioTicks returns the marked ratios: close ones on a narrow axis, far ones on a wide one.
func ratioTicks(a logAxis) []tick {
	switch {
	case a.to < 2.05:
		return []tick{{0.75, "¾"}, {1, "same"}, {4.0 / 3, "1⅓"}}
	case a.to < 4.05:
		return []tick{{0.5, "half"}, {1, "same"}, {2, "twice"}}
	}
	return []tick{{0.25, "¼"}, {0.5, ""}, {1, "same"}, {2, ""}, {4, "4 times"}}
}

// OnPage returns the testers of a page that is there, in their order.
func (c TesterComparison) OnPage(page int) []Tester {
	p := newTesterPage(c, page)
	return p.order[p.from:p.to]
}
