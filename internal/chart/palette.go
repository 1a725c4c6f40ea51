package chart

import (
	"fmt"
	"image"
	"image/color"
	"sync"
)

// shadesBetween is how many shades a soft edge may take between two colours.
// With seven nobody sees steps, and all colours fit in one byte a pixel: that
// encodes four times as fast and is a third the size.
const shadesBetween = 7

// inks are all colours a picture may hold: those of the style, and what lies
// between any two that meet.
var inks = sync.OnceValue(func() color.Palette {
	meet := map[color.RGBA][]color.RGBA{
		paper:     {edge, grid, ink, quiet, tested, testedB, lane, computed, computedB, white},
		testedB:   {ink, quiet, tested, grid},
		computedB: {computed, ink, tested, grid},
		lane:      {ink, quiet, tested, grid},
		computed:  {ink, tested},
		white:     {ink},
	}
	beds := []color.RGBA{paper, testedB, computedB, lane, computed, white} // in one order every time
	for _, v := range looks() {
		bed := asRGBA(v.shade)
		if meet[bed] == nil {
			beds = append(beds, bed)
			meet[bed] = []color.RGBA{asRGBA(v.on)}
		}
	}
	var all color.Palette
	for _, bed := range beds {
		all = append(all, bed)
		for _, front := range meet[bed] {
			for i := 1; i <= shadesBetween; i++ {
				all = append(all, mixed(bed, front, i))
			}
		}
	}
	return append(all, edge, grid, ink, quiet, tested)
})

// mixed is the i-th shade from one colour to another.
func mixed(from, to color.RGBA, i int) color.RGBA {
	mix := func(a, b uint8) uint8 {
		return uint8((int(a)*(shadesBetween+1-i) + int(b)*i) / (shadesBetween + 1))
	}
	return color.RGBA{mix(from.R, to.R), mix(from.G, to.G), mix(from.B, to.B), 0xFF}
}

func asRGBA(c color.Color) color.RGBA { return color.RGBAModel.Convert(c).(color.RGBA) }

// paletted is the sheet with every pixel in the nearest of the inks.
func (s *sheet) paletted() (*image.Paletted, error) {
	drawn, ok := s.canvas.Image().(*image.RGBA)
	if !ok {
		return nil, fmt.Errorf("the canvas holds %T, want RGBA", s.canvas.Image())
	}
	out := image.NewPaletted(drawn.Bounds(), inks())
	found := map[color.RGBA]uint8{}
	last, index := paper, uint8(inks().Index(paper))
	for i := range out.Pix { // both are one row after another without a gap
		p := drawn.Pix[4*i : 4*i+4 : 4*i+4]
		// Most pixels are the colour of the one before.
		if c := (color.RGBA{p[0], p[1], p[2], p[3]}); c != last {
			known := false
			if index, known = found[c]; !known {
				index = uint8(inks().Index(c))
				found[c] = index
			}
			last = c
		}
		out.Pix[i] = index
	}
	return out, nil
}
