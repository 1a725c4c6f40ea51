package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// TesterComparison sets a group's testers side by side: how long the same
// combination takes in one's hands against the hands of the rest.
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

// Draw returns one page, counted from 1: the testers from short times to long, those
// with too few tests last, by name where equal. All pages have the same axis. A
// group without testers gets a picture that says so.
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
	for _, err := range faults {
		if err != nil {
			return err
		}
	}
	return nil
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

// compared tells whether there were tests enough.
func (t Tester) compared() bool { return t.Ratio != 0 }

// testerPage is one page of the comparison.
type testerPage struct {
	TesterComparison
	page  int
	order []Tester // all testers as they stand
	from  int
	to    int
	axis  ratioAxis
}

func newTesterPage(c TesterComparison, page int) testerPage {
	p := testerPage{TesterComparison: c, page: page, order: slices.Clone(c.Testers), axis: newRatioAxis(c.Testers)}
	slices.SortStableFunc(p.order, func(a, b Tester) int {
		if a.compared() != b.compared() {
			if a.compared() {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(a.Ratio, b.Ratio), cmp.Compare(a.Name, b.Name))
	})
	p.from, p.to = newPages(len(p.order), mostTesters).span(page - 1)
	return p
}

// ratioAxis lays ratios out by their logarithm, 1 in the middle.
type ratioAxis struct {
	most        float64 // the largest ratio on the axis; 1/most is the smallest
	left, right float64 // pixels
}

// The least and the most an axis of ratios reaches: limits beyond are cut off
// with an arrow.
const (
	leastReach = 1.6
	mostReach  = 8
)

// newRatioAxis returns an axis that holds every limit, if it can.
func newRatioAxis(testers []Tester) ratioAxis {
	a := ratioAxis{most: leastReach, left: testersLeft, right: testersRight}
	for _, t := range testers {
		if t.compared() {
			a.most = max(a.most, 1.1*max(t.High, 1/t.Low))
		}
	}
	a.most = min(a.most, mostReach)
	return a
}

// x returns where a ratio lies, on the nearer end if it is off the axis.
func (a ratioAxis) x(ratio float64) float64 {
	m := math.Log(a.most)
	return between(max(-m, min(m, math.Log(ratio))), -m, m, a.left, a.right)
}

// ratioMark is a marked ratio with what it means.
type ratioMark struct {
	ratio float64
	words string
}

// marks returns the marked ratios: close ones on a narrow axis, far ones on a
// wide one.
func (a ratioAxis) marks() []ratioMark {
	switch {
	case a.most < 2.05:
		return []ratioMark{{0.75, "¾"}, {1, "same"}, {4.0 / 3, "1⅓"}}
	case a.most < 4.05:
		return []ratioMark{{0.5, "half"}, {1, "same"}, {2, "twice"}}
	}
	return []ratioMark{{0.25, "¼"}, {0.5, ""}, {1, "same"}, {2, ""}, {4, "4 times"}}
}

// OnPage returns the testers of a page that is there, as they stand.
func (c TesterComparison) OnPage(page int) []Tester {
	p := newTesterPage(c, page)
	return p.order[p.from:p.to]
}
