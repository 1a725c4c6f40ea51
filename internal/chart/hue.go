package chart

import "image/color"

// hue is a colour by what it stands for.
type hue uint8

// The hues, calm and told apart by people who cannot tell red from green: blue stands for what is
// computed, rust for what was tested.
const (
	paper hue = iota
	edge
	ink
	quiet
	grid
	lane
	computed
	computedBand
	tested
	testedBed // a row or a cell to look at

	// The cells of the states, and what stands on them.
	deepBlue
	deepBlueOn
	paleBlue
	paleBlueOn
	ochre
	ochreOn
	clay
	clayOn
	blank
	blankOn
	rust
	rustOn

	hues // how many there are
)

// colours are what every hue looks like, as 0xRRGGBB: on light paper with dark ink, which is read
// best in daylight, and on dark paper with light ink, for a dark room or a dark chat.
var colours = [hues]struct{ light, dark uint32 }{
	paper:        {0xF7F4ED, 0x121720},
	edge:         {0x7C828C, 0x8E96A2},
	ink:          {0x1B222E, 0xF2EFE8},
	quiet:        {0x495160, 0xBEC4CE},
	grid:         {0xD3CDC0, 0x444D5B},
	lane:         {0xECE7DB, 0x1F2632},
	computed:     {0x1C5A96, 0x7CB8F2},
	computedBand: {0xC3D7E8, 0x214062},
	tested:       {0x9A3D10, 0xF5A06C},
	testedBed:    {0xF4D9C7, 0x502C1A},

	deepBlue: {0x17496E, 0x9BD2F7}, deepBlueOn: {0xFFFFFF, 0x0B1018},
	paleBlue: {0x9FC6DF, 0x2C5F8E}, paleBlueOn: {0x1B222E, 0xFFFFFF},
	ochre: {0xE6C178, 0x7A5E12}, ochreOn: {0x1B222E, 0xFFFFFF},
	clay: {0xC6B5A4, 0x5E544C}, clayOn: {0x1B222E, 0xFFFFFF},
	blank: {0xFFFFFF, 0x000000}, blankOn: {0x1B222E, 0xFFFFFF},
	rust: {0xB0491C, 0xF28A4E}, rustOn: {0xFFFFFF, 0x0B1018},
}

// scheme is what every hue looks like on one kind of paper.
type scheme [hues]color.RGBA

var lightScheme, darkScheme = schemes()

func schemes() (light, dark scheme) {
	for h, c := range colours {
		light[h], dark[h] = opaque(c.light), opaque(c.dark)
	}
	return light, dark
}

func opaque(rgb uint32) color.RGBA {
	return color.RGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 0xFF}
}

// schemeOf returns the scheme of dark paper, or of light.
func schemeOf(dark bool) *scheme {
	if dark {
		return &darkScheme
	}
	return &lightScheme
}
