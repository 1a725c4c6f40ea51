package chart

import (
	"image/color"

	"gonum.org/v1/plot/vg"
)

// The sizes of every picture, in pixels. 1080 px is what a phone shows without
// scaling up; 30 px is the smallest lettering still read when the picture is
// shown at a third (practice, no source).
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

// The colours, calm and told apart by people who see red and green alike: blue
// stands for what is computed, rust for what was tested.
var (
	paper     = color.RGBA{0xF7, 0xF4, 0xED, 0xFF}
	edge      = color.RGBA{0x7C, 0x82, 0x8C, 0xFF}
	ink       = color.RGBA{0x1B, 0x22, 0x2E, 0xFF}
	quiet     = color.RGBA{0x49, 0x51, 0x60, 0xFF}
	grid      = color.RGBA{0xD3, 0xCD, 0xC0, 0xFF}
	lane      = color.RGBA{0xEC, 0xE7, 0xDB, 0xFF}
	white     = color.RGBA{0xFF, 0xFF, 0xFF, 0xFF}
	computed  = color.RGBA{0x1C, 0x5A, 0x96, 0xFF}
	computedB = color.RGBA{0xC3, 0xD7, 0xE8, 0xFF} // the band around it
	tested    = color.RGBA{0x9A, 0x3D, 0x10, 0xFF}
	testedB   = color.RGBA{0xF4, 0xD9, 0xC7, 0xFF} // a row or cell to look at
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

// caveatWords are the caveats in a picture's few words.
const caveatWords = "Bench tests are the best case, for the set-up tested only. No flashback does not mean not in a vessel. Local protocol comes first."
