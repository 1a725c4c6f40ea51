package chart

import (
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"sync"
)

// shadesBetween is how many shades a soft edge may take between two colours. With seven nobody sees
// steps, and all colours fit in one byte a pixel: that encodes four times as fast, into a third of
// the size.
const shadesBetween = 7

// The inks of both papers, worked out once.
var (
	lightInks = sync.OnceValue(lightScheme.inks)
	darkInks  = sync.OnceValue(darkScheme.inks)
)

// inks returns all colours that the sheet may hold.
func (s *sheet) inks() color.Palette {
	if s.scheme == &darkScheme {
		return darkInks()
	}
	return lightInks()
}

// inks returns all colours that a picture may hold: those of the scheme, and the shades between any
// two that meet.
func (s *scheme) inks() color.Palette {
	type meeting struct {
		bed    hue
		fronts []hue
	}
	meet := []meeting{
		{paper, []hue{edge, grid, ink, quiet, tested, testedBed, lane, computed, computedBand}},
		{testedBed, []hue{ink, quiet, tested, grid}},
		{computedBand, []hue{computed, ink, tested, grid}},
		{lane, []hue{ink, quiet, tested, grid}},
		{computed, []hue{ink, tested}},
	}
	seen := map[hue]bool{}
	for _, v := range looks() {
		if !seen[v.shade] {
			seen[v.shade] = true
			meet = append(meet, meeting{v.shade, []hue{v.on}})
		}
	}
	var all color.Palette
	for _, m := range meet {
		all = append(all, s[m.bed])
		for _, front := range m.fronts {
			for i := 1; i <= shadesBetween; i++ {
				all = append(all, mixed(s[m.bed], s[front], i))
			}
		}
	}
	for h := range hues {
		all = append(all, s[h])
	}
	return all
}

// mixed returns the i-th shade from one colour to another.
func mixed(from, to color.RGBA, i int) color.RGBA {
	mix := func(a, b uint8) uint8 {
		return uint8((int(a)*(shadesBetween+1-i) + int(b)*i) / (shadesBetween + 1))
	}
	return color.RGBA{mix(from.R, to.R), mix(from.G, to.G), mix(from.B, to.B), 0xFF}
}

// paletted returns the sheet with every pixel in the nearest of the inks.
func (s *sheet) paletted() (*image.Paletted, error) {
	drawn, ok := s.canvas.Image().(*image.RGBA)
	if !ok {
		return nil, fmt.Errorf("the canvas holds %T, want RGBA", s.canvas.Image())
	}
	inks := s.inks()
	out := image.NewPaletted(drawn.Bounds(), inks)
	found := map[uint32]uint8{} // by the four bytes of a pixel
	last, index := uint32(0), uint8(0)
	for i := range out.Pix { // both are one row after another without a gap
		p := drawn.Pix[4*i : 4*i+4 : 4*i+4]
		// Most pixels are the colour of the one before.
		if c := binary.LittleEndian.Uint32(p); c != last || i == 0 {
			known := false
			if index, known = found[c]; !known {
				index = uint8(inks.Index(color.RGBA{p[0], p[1], p[2], p[3]}))
				found[c] = index
			}
			last = c
		}
		out.Pix[i] = index
	}
	return out, nil
}
