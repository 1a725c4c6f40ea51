package chart

import (
	"image"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// sheet is the paper that a picture is drawn on. Positions are pixels from the top left corner, x to
// the right and y down.
type sheet struct {
	canvas *vgimg.Canvas
	height float64
	scheme *scheme
}

// stroke is how a line is drawn: width and dashes in pixels.
type stroke struct {
	colour hue
	width  vg.Length
	dash   []vg.Length
}

// spot is a position on a sheet.
type spot struct{ x, y float64 }

// newSheet returns a blank sheet of that height, of dark paper or of light, with its edge line.
func newSheet(height float64, dark bool) *sheet {
	colours := schemeOf(dark)
	height = math.Ceil(height)
	s := &sheet{
		canvas: vgimg.NewWith(
			vgimg.UseWH(sheetWidth, vg.Length(height)),
			vgimg.UseDPI(72), // one point is one pixel
			vgimg.UseBackgroundColor(colours[paper]),
		),
		height: height,
		scheme: colours,
	}
	s.frame(edgeInset, edgeInset, sheetWidth-2*edgeInset, height-2*edgeInset, stroke{colour: edge, width: edgeWidth})
	return s
}

// point returns a spot as the canvas counts it, with y upwards.
func (s *sheet) point(p spot) vg.Point {
	return vg.Point{X: vg.Length(p.x), Y: vg.Length(s.height - p.y)}
}

// path returns the line through the spots.
func (s *sheet) path(spots []spot) vg.Path {
	var p vg.Path
	p.Move(s.point(spots[0]))
	for _, at := range spots[1:] {
		p.Line(s.point(at))
	}
	return p
}

// lines draws a line through the spots.
func (s *sheet) lines(k stroke, spots ...spot) {
	if len(spots) < 2 {
		return
	}
	s.set(k)
	s.canvas.Stroke(s.path(spots))
}

func (s *sheet) set(k stroke) {
	s.canvas.SetColor(s.scheme[k.colour])
	s.canvas.SetLineWidth(k.width)
	s.canvas.SetLineDash(k.dash, 0)
}

// fill paints the shape whose corners are the spots.
func (s *sheet) fill(c hue, spots ...spot) {
	p := s.path(spots)
	p.Close()
	s.canvas.SetColor(s.scheme[c])
	s.canvas.Fill(p)
}

// box paints a rectangle.
func (s *sheet) box(x, y, w, h float64, c hue) {
	s.fill(c, spot{x, y}, spot{x + w, y}, spot{x + w, y + h}, spot{x, y + h})
}

// frame draws the outline of a rectangle, with the whole line inside it.
func (s *sheet) frame(x, y, w, h float64, k stroke) {
	if wide := float64(k.width); k.dash == nil { // of boxes, for sharp corners
		s.box(x, y, w, wide, k.colour)
		s.box(x, y+h-wide, w, wide, k.colour)
		s.box(x, y+wide, wide, h-2*wide, k.colour)
		s.box(x+w-wide, y+wide, wide, h-2*wide, k.colour)
		return
	}
	half := float64(k.width) / 2
	x, y, w, h = x+half, y+half, w-2*half, h-2*half
	p := s.path([]spot{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}})
	p.Close()
	s.set(k)
	s.canvas.Stroke(p)
}

// disc paints a disc.
func (s *sheet) disc(x, y, r float64, c hue) {
	s.canvas.SetColor(s.scheme[c])
	s.canvas.Fill(s.circle(x, y, r))
}

// ring draws a circle, with the whole line inside the radius.
func (s *sheet) ring(x, y, r float64, k stroke) {
	s.set(k)
	s.canvas.Stroke(s.circle(x, y, r-float64(k.width)/2))
}

func (s *sheet) circle(x, y, r float64) vg.Path {
	var p vg.Path
	p.Move(s.point(spot{x + r, y}))
	p.Arc(s.point(spot{x, y}), vg.Length(r), 0, 2*math.Pi)
	p.Close()
	return p
}

// hatch fills a rectangle with slanting lines, apart from each other by so much.
func (s *sheet) hatch(x, y, w, h, apart float64, k stroke) {
	for d := apart; d < w+h; d += apart {
		from := spot{x + max(0, d-h), y + min(d, h)}
		to := spot{x + min(d, w), y + max(0, d-w)}
		s.lines(k, from, to)
	}
}

// Where a text lies relative to its x.
const (
	fromLeft  = 0.0
	centred   = 0.5
	fromRight = 1.0
)

// text sets one line with its foot at y.
func (s *sheet) text(x, y float64, text string, l letter, place float64) {
	if text == "" {
		return
	}
	x -= place * l.width(text)
	face := l.face()
	glyphs := face.FontFace(s.canvas.DPI())
	defer glyphs.Close()
	// Drawn onto the image itself: the canvas would turn and resample every glyph, which takes a third of
	// a picture's time.
	(&font.Drawer{Dst: s.canvas.Image(), Src: image.NewUniform(s.scheme[l.colour]), Face: glyphs,
		Dot: fixed.P(int(math.Round(x)), int(math.Round(y)))}).DrawString(text)
}

// textMid sets one line with the middle of its capitals at y.
func (s *sheet) textMid(x, y float64, text string, l letter, place float64) {
	s.text(x, y+0.34*l.size, text, l, place)
}

// paragraph sets lines below one another from y down, and returns the y under the last.
func (s *sheet) paragraph(x, y float64, lines []string, l letter) float64 {
	for _, line := range lines {
		y += lineHeight(l)
		s.text(x, y-0.3*l.size, line, l, fromLeft)
	}
	return y
}

// lineHeight is the distance between the lines of a paragraph.
func lineHeight(l letter) float64 { return math.Ceil(1.3 * l.size) }
