package chart

import "gonum.org/v1/plot/vg"

// The sizes of every picture, in pixels. A phone shows 1080 px without scaling up; 30 px is the
// smallest lettering that is still read when the picture is shown at a third (practice, no source).
const (
	sheetWidth = 1080.0
	margin     = 48.0 // nothing but paper and the edge line outside it
	edgeInset  = 14.0 // the edge line, which ends the paper on a light chat
	edgeWidth  = 4.0
)

// The sizes of the lettering, in pixels.
const (
	titleSize   = 54.0
	verdictSize = 50.0
	textSize    = 38.0
	labelSize   = 35.0
	smallSize   = 30.0
)

// The lettering.
var (
	titleLetter   = letter{size: titleSize, bold: true, colour: ink}
	verdictLetter = letter{size: verdictSize, bold: true, colour: ink}
	textLetter    = letter{size: textSize, colour: ink}
	labelLetter   = letter{size: labelSize, colour: ink}
	strongLetter  = letter{size: labelSize, bold: true, colour: ink}
	quietLetter   = letter{size: smallSize, colour: quiet}
)

// The strokes.
var (
	gridStroke     = stroke{colour: grid, width: 2}
	axisStroke     = stroke{colour: ink, width: 4}
	testsStroke    = stroke{colour: tested, width: 8}
	estimateStroke = stroke{colour: computed, width: 6}
	untestedStroke = stroke{colour: computed, width: 6, dash: []vg.Length{22, 14}}
	ceilingStroke  = stroke{colour: ink, width: 4, dash: []vg.Length{6, 8}}
	holdStroke     = stroke{colour: ink, width: 6}
)
