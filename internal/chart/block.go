package chart

import "holdbench/internal/say"

// block is one layer of a picture, drawn from y down.
type block struct {
	height float64
	draw   func(s *sheet, y float64)
}

// innerWidth is the width between the margins.
const innerWidth = sheetWidth - 2*margin

// compose draws blocks on a new sheet, one under the other, on dark paper or on light.
func compose(dark bool, blocks ...block) *sheet {
	s, y := newSheet(2*margin+heights(blocks), dark), margin
	for _, b := range blocks {
		if b.draw != nil {
			b.draw(s, y)
		}
		y += b.height
	}
	return s
}

// heights returns the height of some blocks together.
func heights(blocks []block) (sum float64) {
	for _, b := range blocks {
		sum += b.height
	}
	return sum
}

// gap is an empty layer.
func gap(height float64) block { return block{height: height} }

// words is a layer of text over the whole width, in at most so many lines.
func words(text string, l letter, most int) block {
	lines := l.wrap(text, innerWidth, most)
	return block{
		height: float64(len(lines)) * lineHeight(l),
		draw:   func(s *sheet, y float64) { s.paragraph(margin, y, lines, l) },
	}
}

// caveatText is the caveats in full, because a picture may travel without its message.
// mostCaveatLines has room for them.
const (
	caveatText = say.CaveatNegative + " " + say.CaveatBench + " " + say.CaveatSetup + " " + say.CaveatFirst + " " +
		say.CaveatOcclusion

	mostCaveatLines = 9
)

// caveats is the layer of the caveats, under a thin line.
func caveats() block {
	b := words(caveatText, quietLetter, mostCaveatLines)
	return block{
		height: b.height + 20,
		draw: func(s *sheet, y float64) {
			s.lines(gridStroke, spot{margin, y + 10}, spot{sheetWidth - margin, y + 10})
			b.draw(s, y+20)
		},
	}
}

// key is one entry of a legend: a sign of that width, drawn from x on with its middle at height y,
// and what it means.
type key struct {
	width float64
	sign  func(s *sheet, x, y float64)
	words string
}

// The spaces of a legend, in pixels.
const (
	keyRow  = 52.0
	keySkip = 14.0 // between sign and words
	keyGap  = 40.0 // between entries
)

// legend is the layer of the keys, as many in a row as fit.
func legend(keys []key) block {
	type placed struct {
		key
		x   float64
		row int
	}
	var all []placed
	x, row := margin, 0
	for _, k := range keys {
		wide := k.width + keySkip + labelLetter.width(k.words)
		if x > margin && x+wide > sheetWidth-margin {
			x, row = margin, row+1
		}
		all = append(all, placed{k, x, row})
		x += wide + keyGap
	}
	if len(all) == 0 {
		return gap(0)
	}
	return block{
		height: float64(row+1) * keyRow,
		draw: func(s *sheet, y float64) {
			for _, p := range all {
				mid := y + (float64(p.row)+0.5)*keyRow
				p.sign(s, p.x, mid)
				s.textMid(p.x+p.width+keySkip, mid, p.words, labelLetter, fromLeft)
			}
		},
	}
}
