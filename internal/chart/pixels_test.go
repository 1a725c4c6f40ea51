package chart

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"
)

// pixels is a picture as it was encoded, to be read again.
type pixels struct{ *image.RGBA }

func read(tb testing.TB, p Picture) pixels {
	tb.Helper()
	img, err := png.Decode(bytes.NewReader(p.PNG))
	if err != nil {
		tb.Fatal(err)
	}
	rgba := image.NewRGBA(img.Bounds())
	paletted, ok := img.(*image.Paletted)
	if !ok {
		tb.Fatalf("a picture of %T", img)
	}
	inks := make([][4]uint8, len(paletted.Palette))
	for i, c := range paletted.Palette {
		c := asRGBA(c)
		inks[i] = [4]uint8{c.R, c.G, c.B, c.A}
	}
	for i, at := range paletted.Pix { // both are one row after another without a gap
		*(*[4]uint8)(rgba.Pix[4*i:]) = inks[at]
	}
	return pixels{rgba}
}

// RGBA makes a hue a colour: what it looks like on light paper.
func (h hue) RGBA() (r, g, b, a uint32) { return lightScheme[h].RGBA() }

// asRGBA is asked for each pixel: what is at hand is not converted.
func asRGBA(c color.Color) color.RGBA {
	switch c := c.(type) {
	case color.RGBA:
		return c
	case hue:
		return lightScheme[c]
	}
	return color.RGBAModel.Convert(c).(color.RGBA)
}

func (p pixels) is(x, y int, c color.Color) bool { return p.RGBAAt(x, y) == asRGBA(c) }

// run is a stretch of pixels of one colour, both ends in it.
type run struct{ from, to int }

func (r run) middle() float64 { return float64(r.from+r.to+1) / 2 }

// runs are the stretches of a colour among n pixels, read one after another.
func runs(n int, is func(i int) bool) []run {
	var all []run
	for i := range n {
		switch {
		case !is(i):
		case len(all) > 0 && all[len(all)-1].to == i-1:
			all[len(all)-1].to = i
		default:
			all = append(all, run{i, i})
		}
	}
	return all
}

func (p pixels) row(y int, c color.Color) []run {
	return runs(p.Bounds().Dx(), func(x int) bool { return p.is(x, y, c) })
}

func (p pixels) column(x int, c color.Color) []run {
	return runs(p.Bounds().Dy(), func(y int) bool { return p.is(x, y, c) })
}

// blob is a patch of pixels of one colour that touch: the box around it.
type blob struct{ image.Rectangle }

// blobs finds the patches of a colour within a box, by rows and then columns.
func (p pixels) blobs(in image.Rectangle, c color.Color) []blob {
	seen := map[image.Point]bool{}
	var all []blob
	for y := in.Min.Y; y < in.Max.Y; y++ {
		for x := in.Min.X; x < in.Max.X; x++ {
			if at := image.Pt(x, y); p.is(x, y, c) && !seen[at] {
				all = append(all, blob{p.flood(at, in, c, seen)})
			}
		}
	}
	return all
}

func (p pixels) flood(at image.Point, in image.Rectangle, c color.Color, seen map[image.Point]bool) image.Rectangle {
	box, todo := image.Rectangle{}, []image.Point{at}
	seen[at] = true
	for len(todo) > 0 {
		at, todo = todo[len(todo)-1], todo[:len(todo)-1]
		box = box.Union(image.Rectangle{at, at.Add(image.Pt(1, 1))})
		for _, d := range []image.Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			if next := at.Add(d); next.In(in) && !seen[next] && p.is(next.X, next.Y, c) {
				seen[next] = true
				todo = append(todo, next)
			}
		}
	}
	return box
}

// differences counts the pixels that differ within a box, and outside it.
func differences(a, b pixels, box image.Rectangle) (inside, outside int) {
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			if a.RGBAAt(x, y) == b.RGBAAt(x, y) {
				continue
			}
			if image.Pt(x, y).In(box) {
				inside++
			} else {
				outside++
			}
		}
	}
	return inside, outside
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.4g, want %.4g ± %.2g", what, got, want, tol)
	}
}
