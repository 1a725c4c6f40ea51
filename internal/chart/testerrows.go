package chart

import (
	"fmt"
	"math"
	"strings"

	"holdbench/internal/say"
)

// The parts of the comparison, in pixels.
const (
	testersLeft  = 322.0
	testersRight = 862.0
	testerRow    = 92.0
	testersHead  = 104.0
)

// noTesters is what a group without tests is told.
const noTesters = "No tests by members yet: nobody to compare."

// whoIsRight stands under every comparison.
const whoIsRight = "This does not show who is right."

// The strokes of the limits.
var (
	alikeStroke  = stroke{colour: quiet, width: 6}
	differStroke = stroke{colour: tested, width: 10}
	sameStroke   = stroke{colour: ink, width: 4}
)

// rows is the layer with the testers and their axis.
func (p testerPage) rows() block {
	rows := float64(p.to - p.from)
	return block{
		height: testersHead + rows*testerRow,
		draw: func(s *sheet, y float64) {
			top, bottom := y+testersHead, y+testersHead+rows*testerRow
			for i, t := range p.order[p.from:p.to] {
				if t.Differs && t.compared() {
					s.box(margin, top+float64(i)*testerRow+2, innerWidth, testerRow-4, testedBed)
				}
			}
			p.drawAxis(s, y, bottom)
			for i, t := range p.order[p.from:p.to] {
				p.drawTester(s, t, top+float64(i)*testerRow)
			}
		},
	}
}

// drawAxis draws the marked ratios and says which way is shorter.
func (p testerPage) drawAxis(s *sheet, y, bottom float64) {
	a := p.axis
	arrow := stroke{colour: quiet, width: 4}
	left, right := a.left, a.right
	s.lines(arrow, spot{left + 16, y + 18}, spot{left, y + 18})
	s.fill(quiet, spot{left + 18, y + 8}, spot{left, y + 18}, spot{left + 18, y + 28})
	s.text(left+28, y+30, "shorter", labelLetter, fromLeft)
	s.fill(quiet, spot{right - 18, y + 8}, spot{right, y + 18}, spot{right - 18, y + 28})
	s.text(right-28, y+30, "longer", labelLetter, fromRight)
	for _, t := range ratioTicks(a) {
		x := a.x(t.value)
		k, l := gridStroke, labelLetter
		if t.value == 1 {
			k, l = sameStroke, strongLetter
		}
		s.lines(k, spot{x, y + testersHead - 14}, spot{x, bottom})
		s.text(x, y+testersHead-24, t.words, l, centred)
	}
}

// drawTester draws one row: name and number of tests, limits and ratio, and a word for a tester who
// differs.
func (p testerPage) drawTester(s *sheet, t Tester, y float64) {
	width := testersLeft - margin - 16
	s.text(margin+8, y+42, strongLetter.fit(tidy(t.Name), width), strongLetter, fromLeft)
	s.text(margin+8, y+78, say.Count(t.Tests, "test"), quietLetter, fromLeft)
	mid := y + testerRow/2
	if !t.compared() {
		s.textMid(testersRight+28, mid, "too few", labelLetter.in(quiet), fromLeft)
		return
	}
	x := p.axis.x(t.Ratio)
	p.drawLimits(s, t, mid)
	if !t.Differs {
		s.disc(x, mid, 13, paper)
		alikeRing(s, x, mid)
		return
	}
	drawPointer(s, x, mid, t.Ratio)
	s.textMid(testersRight+28, mid, t.direction(), strongLetter.in(tested), fromLeft)
}

// drawPointer marks a tester who differs: a triangle at the ratio that points the way.
func drawPointer(s *sheet, x, y, ratio float64) {
	const r = 22.0
	way := math.Copysign(r, math.Log(ratio))
	s.fill(tested, spot{x - way, y - r}, spot{x + way, y}, spot{x - way, y + r})
}

// direction says which way the tester differs.
func (t Tester) direction() string {
	if t.Ratio < 1 {
		return "shorter"
	}
	return "longer"
}

// drawLimits draws the interval with a bar at each end, or an arrow where it goes on beyond the
// axis.
func (p testerPage) drawLimits(s *sheet, t Tester, y float64) {
	k := alikeStroke
	if t.Differs {
		k = differStroke
	}
	low, high := p.axis.x(t.Low), p.axis.x(t.High)
	s.lines(k, spot{low, y}, spot{high, y})
	for _, e := range []struct {
		x, way float64
		beyond bool
	}{{low, -1, t.Low < p.axis.from}, {high, 1, t.High > p.axis.to}} {
		if e.beyond {
			s.fill(k.colour, spot{e.x, y - 14}, spot{e.x + e.way*16, y}, spot{e.x, y + 14})
			continue
		}
		limitBar(s, e.x, y, k.colour)
	}
}

// limitBar draws the bar at the end of an interval.
func limitBar(s *sheet, x, y float64, c hue) {
	s.lines(stroke{colour: c, width: 5}, spot{x, y - 13}, spot{x, y + 13})
}

// alikeRing marks a tester who does not clearly differ.
func alikeRing(s *sheet, x, y float64) { s.ring(x, y, 13, stroke{colour: quiet, width: 5}) }

// keys returns the entries of the legend: only what the page holds.
func (p testerPage) keys() []key {
	var alike, differs bool
	for _, t := range p.order[p.from:p.to] {
		differs = differs || t.compared() && t.Differs
		alike = alike || t.compared() && !t.Differs
	}
	if !alike && !differs {
		return nil
	}
	keys := []key{{64, func(s *sheet, x, y float64) {
		s.lines(alikeStroke, spot{x, y}, spot{x + 64, y})
		limitBar(s, x+2, y, quiet)
		limitBar(s, x+62, y, quiet)
	}, fmt.Sprintf("%s %% sure it lies between", say.Number(math.Round(p.Confidence*1000)/10))}}
	if alike {
		keys = append(keys, key{26, func(s *sheet, x, y float64) { alikeRing(s, x+13, y) }, "no clear difference"})
	}
	if differs {
		keys = append(keys, key{44, func(s *sheet, x, y float64) { drawPointer(s, x+22, y, 2) }, "clearly differs"})
	}
	return keys
}

// pageWords says what the page leaves out.
func (p testerPage) pageWords() string {
	return fmt.Sprintf("Page %d of %d: %s, shortest times first. The rest is on the other pages.", p.page, p.Pages(),
		part("testers", p.from, p.to, len(p.order)))
}

// alt returns the page in words: who differs, then everybody else, as far as there is room.
func (p testerPage) alt() string {
	lines := []string{"Testers compared"}
	if group := tidy(p.Group); group != "" {
		lines[0] += ", " + cut(group, 100)
	}
	lines[0] += ": time to flashback against the rest, same combination."
	lines = append(lines, p.Findings())
	if p.Pages() > 1 {
		lines = append(lines, p.pageWords())
	}
	for _, differs := range []bool{true, false} {
		for _, t := range p.order[p.from:p.to] {
			if differs == (t.Differs && t.compared()) {
				lines = append(lines, t.words())
			}
		}
	}
	return withCaveats(strings.Join(lines, " "))
}

// words returns one tester in a sentence.
func (t Tester) words() string {
	name := cut(tidy(t.Name), 40)
	if !t.compared() {
		return fmt.Sprintf("%s: %s, too few.", name, say.Count(t.Tests, "test"))
	}
	text := fmt.Sprintf("%s: %s times (%s to %s), %s", name, ratioWords(t.Ratio), ratioWords(t.Low), ratioWords(t.High),
		say.Count(t.Tests, "test"))
	if t.Differs {
		text += ", clearly " + t.direction()
	}
	return text + "."
}

// ratioWords returns a ratio with two decimals, from 10 on in whole numbers.
func ratioWords(r float64) string {
	if r < 10 {
		return fmt.Sprintf("%.2f", r)
	}
	return fmt.Sprintf("%.0f", r)
}
