package chart

// headline is the layer that says a state, by its mark and in words.
func headline(v look, text string) block {
	const side, skip = 68.0, 22.0
	lines := verdictLetter.wrap(text, innerWidth-side-skip, 3)
	return block{
		height: max(side+4, float64(len(lines))*lineHeight(verdictLetter)),
		draw: func(s *sheet, y float64) {
			v.markedTile(s, margin, y+2, side, side, 0.3*side)
			s.paragraph(margin+side+skip, y, lines, verdictLetter)
		},
	}
}

// untestedBanner is the layer that stands in the place of a headline where nobody has tested:
// hatched, with a dashed frame and the word.
func untestedBanner(under string) block {
	const height = 150.0
	return block{
		height: height,
		draw: func(s *sheet, y float64) {
			s.box(margin, y, innerWidth, height, testedBed)
			s.hatch(margin, y, innerWidth, height, 26, stroke{colour: paper, width: 8})
			untestedFrame(s, margin, y, innerWidth, height)
			word, rest := titleLetter.sized(64).in(tested), textLetter
			wide := max(word.width(untestedWord), rest.width(under)) + 48
			s.box(sheetWidth/2-wide/2, y+14, wide, height-28, testedBed)
			s.text(sheetWidth/2, y+74, untestedWord, word, centred)
			s.text(sheetWidth/2, y+122, under, rest, centred)
		},
	}
}
