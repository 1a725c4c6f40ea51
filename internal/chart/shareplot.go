package chart

import (
	"fmt"
	"math"
	"slices"

	"holdbench/internal/say"
)

// The parts of the plot of shares, in pixels.
const (
	plotLeft   = 196.0
	plotRight  = sheetWidth - margin
	plotHeight = 560.0
	flagRow    = 46.0
)

// sharePlot is the plot with its place on the sheet.
type sharePlot struct {
	ShareByTime
	time        logAxis
	top, bottom float64 // of the shares
	laneBottom  float64
	placed      []placedTest
}

// plot is the layer with the curves, the lane of single tests and the axes.
func (c ShareByTime) plot() block {
	p := sharePlot{ShareByTime: c, time: c.timeAxis()}
	rows := p.placeTests()
	head := flagRow * 2
	laneHeight := 2*lanePad + float64(max(rows, 1)-1)*lanePitch
	return block{
		height: head + plotHeight + laneHeight + 62,
		draw: func(s *sheet, y float64) {
			p.top, p.bottom = y+head, y+head+plotHeight
			p.laneBottom = p.bottom + laneHeight
			p.drawAxes(s)
			p.drawEstimate(s)
			p.drawLimits(s)
			p.drawSteps(s)
			p.drawTests(s)
		},
	}
}

// timeAxis returns an axis with every test, the ceiling, the hold and the rise of the estimate.
func (c ShareByTime) timeAxis() logAxis {
	earliest, latest := c.Ceiling/4, max(c.Ceiling, float64(c.advised()))
	for _, t := range c.Tests {
		earliest, latest = min(earliest, t.Seconds), max(latest, t.Seconds)
	}
	for _, e := range c.Estimate {
		if e.Mean >= 0.05 {
			earliest = min(earliest, e.Seconds)
			break
		}
	}
	return newTimeAxis(earliest, latest, plotLeft, plotRight)
}

// y returns where a share lies. None and all keep off the edges.
func (p sharePlot) y(share float64) float64 {
	return between(share, 0, 1, p.bottom-8, p.top+16)
}

// drawAxes draws the lane, the grid and what the axes say.
func (p sharePlot) drawAxes(s *sheet) {
	s.box(plotLeft, p.bottom, plotRight-plotLeft, p.laneBottom-p.bottom, lane)
	free := 0.0 // right of it no label stands yet
	for _, t := range timeTicksOn(p.time) {
		x := p.time.x(t.value)
		s.lines(gridStroke, spot{x, p.top}, spot{x, p.bottom})
		s.lines(axisStroke, spot{x, p.laneBottom}, spot{x, p.laneBottom + 12})
		half := labelLetter.width(t.words) / 2
		if at := min(x, plotRight-half); at-half > free {
			s.text(at, p.laneBottom+50, t.words, labelLetter, centred)
			free = at + half + 16
		}
	}
	for _, t := range p.shareTicks() {
		y := p.y(t.value)
		s.lines(gridStroke, spot{plotLeft, y}, spot{plotRight, y})
		s.textMid(plotLeft-18, y, t.words, labelLetter, fromRight)
	}
	s.text(margin, p.top-flagRow-12, "share shown", labelLetter, fromLeft)
	s.lines(axisStroke, spot{plotLeft, p.top}, spot{plotLeft, p.laneBottom})
	s.lines(axisStroke, spot{plotLeft - 2, p.laneBottom}, spot{plotRight, p.laneBottom})
}

// shareTicks returns the marked shares and the target, without its words where they would touch
// others.
func (p sharePlot) shareTicks() []tick {
	ticks := []tick{{0, "none"}, {0.5, "half"}, {1, "all"}}
	target := tick{p.Target, say.Target(p.Target)}
	for _, t := range ticks {
		if math.Abs(t.value-p.Target) < 0.07 {
			target.words = ""
		}
	}
	return append(ticks, target)
}

// drawEstimate draws the estimate's curve with its range: a filled band for a tested combination,
// stripes and a dashed curve for an untested one.
func (p sharePlot) drawEstimate(s *sheet) {
	var low, high, mean []spot
	for _, e := range p.within() {
		x := p.time.x(e.Seconds)
		mean = append(mean, spot{x, p.y(e.Mean)})
		low, high = append(low, spot{x, p.y(e.Low)}), append(high, spot{x, p.y(e.High)})
	}
	if len(mean) < 2 {
		return
	}
	if p.untested() {
		p.drawStripes(s)
		edge := stroke{colour: computed, width: 2}
		s.lines(edge, low...)
		s.lines(edge, high...)
		s.lines(untestedStroke, mean...)
		return
	}
	slices.Reverse(high)
	s.fill(computedBand, append(low, high...)...)
	s.lines(estimateStroke, mean...)
}

// within returns the points of the estimate on the axis, and the estimate at its two ends.
func (p sharePlot) within() []Estimated {
	var on []Estimated
	if e, ok := p.At(p.time.from); ok {
		on = append(on, e)
	}
	for _, e := range p.Estimate {
		if e.Seconds > p.time.from && e.Seconds < p.time.to {
			on = append(on, e)
		}
	}
	if e, ok := p.At(p.time.to); ok {
		on = append(on, e)
	}
	return on
}

// drawStripes draws the range as upright stripes.
func (p sharePlot) drawStripes(s *sheet) {
	const apart = 18
	for x := plotLeft + apart; x < plotRight; x += apart {
		if e, ok := p.At(p.time.at(x)); ok {
			s.lines(stroke{colour: computedBand, width: 6}, spot{x, p.y(e.Low)}, spot{x, p.y(e.High)})
		}
	}
}

// drawSteps draws the curve of the tests, up to the longest time watched.
func (p sharePlot) drawSteps(s *sheet) {
	if p.untested() {
		return
	}
	last, share := 0.0, 0.0
	for _, t := range p.Tests {
		last = max(last, t.Seconds)
	}
	line := []spot{{plotLeft, p.y(0)}}
	for _, step := range p.Steps {
		x := p.time.x(step.Seconds)
		line = append(line, spot{x, p.y(share)}, spot{x, p.y(step.Share)})
		share = step.Share
	}
	s.lines(testsStroke, append(line, spot{p.time.x(last), p.y(share)})...)
}

// drawLimits draws the ceiling and the hold with their flags. The hold's flag
// stands on the side away from the ceiling.
func (p sharePlot) drawLimits(s *sheet) {
	ceiling := p.time.x(p.Ceiling)
	s.lines(ceilingStroke, spot{ceiling, p.top - flagRow + 2}, spot{ceiling, p.laneBottom})
	flag := "ceiling " + secondsWords(p.Ceiling)
	half := labelLetter.width(flag) / 2
	s.text(max(plotLeft+80+half, min(plotRight-half, ceiling)), p.top-flagRow-12, flag, labelLetter, centred)
	hold := p.advised()
	if hold == 0 {
		return
	}
	x := p.time.x(float64(hold))
	s.lines(holdStroke, spot{x, p.top - 6}, spot{x, p.laneBottom})
	flag = fmt.Sprintf("hold %d s", hold)
	wide := strongLetter.width(flag)
	left := x - wide - 8
	if float64(hold) > p.Ceiling {
		left = x + 8
	}
	s.text(max(margin, min(plotRight-wide, left)), p.top-14, flag, strongLetter, fromLeft)
}
