package chart

// headline is the layer that says a state: its mark and its words.
func headline(v look, text string) block {
	const side, skip = 68.0, 22.0
	lines := verdictLetter.wrap(text, innerWidth-side-skip, 3)
	return block{
		height: max(side+4, float64(len(lines))*lineHeight(verdictLetter)),
		draw: func(s *sheet, y float64) {
			stateTile(s, v, margin, y+2, side, side)
			v.shape(s, margin+side/2, y+2+side/2, 0.3*side, v.on)
			s.paragraph(margin+side+skip, y, lines, verdictLetter)
		},
	}
}

// stateTile is the cell of a state, without its mark.
func stateTile(s *sheet, v look, x, y, w, h float64) {
	s.box(x, y, w, h, v.shade)
	s.frame(x, y, w, h, stroke{colour: quiet, width: 2})
}

// untestedBanner is the layer that says, where a headline would stand, that there
// is none: hatched all over, dashed around, and with the word.
func untestedBanner(under string) block {
	const height = 150.0
	return block{
		height: height,
		draw: func(s *sheet, y float64) {
			s.box(margin, y, innerWidth, height, testedB)
			s.hatch(margin, y, innerWidth, height, 26, stroke{colour: paper, width: 8})
			untestedFrame(s, margin, y, innerWidth, height)
			word, rest := titleLetter.sized(64).in(tested), textLetter
			wide := max(word.width(untestedWord), rest.width(under)) + 48
			s.box(sheetWidth/2-wide/2, y+14, wide, height-28, testedB)
			s.text(sheetWidth/2, y+74, untestedWord, word, centred)
			s.text(sheetWidth/2, y+122, under, rest, centred)
		},
	}
}
