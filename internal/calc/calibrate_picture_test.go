package calc

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	vgdraw "gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// The pictures of docs/calibration.md. What is amiss differs in shape as well as
// in colour.
var (
	inkBar   = color.NRGBA{R: 0x4a, G: 0x6f, B: 0xa5, A: 0xff}
	inkBand  = color.NRGBA{R: 0xd9, G: 0xdd, B: 0xe3, A: 0xff}
	inkLine  = color.NRGBA{R: 0x22, G: 0x22, B: 0x22, A: 0xff}
	inkAmiss = color.NRGBA{R: 0xc2, G: 0x55, B: 0x1b, A: 0xff}
)

// mostPictureBytes is how large a picture of the page may be.
const mostPictureBytes = 60 << 10

// picture draws on a white sheet of so many points, at 110 dots to the inch, and
// returns it as a PNG of few colours.
func picture(t testing.TB, width, height font.Length, paint func(vgdraw.Canvas)) []byte {
	t.Helper()
	c := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(110))
	paint(vgdraw.New(c))
	var shades color.Palette
	for _, ink := range []color.NRGBA{inkBar, inkBand, inkLine, inkAmiss} {
		for k := range 16 { // towards white, for the edges of letters
			mix := func(x uint8) uint8 { return uint8((int(x)*(15-k) + 255*k) / 15) }
			shades = append(shades, color.NRGBA{R: mix(ink.R), G: mix(ink.G), B: mix(ink.B), A: 0xff})
		}
	}
	few := image.NewPaletted(c.Image().Bounds(), shades)
	draw.Draw(few, few.Bounds(), c.Image(), image.Point{}, draw.Src)
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, few); err != nil {
		t.Fatal(err)
	}
	if out.Len() > mostPictureBytes {
		t.Errorf("a picture of %d bytes, at most %d wanted", out.Len(), mostPictureBytes)
	}
	return out.Bytes()
}

// axes is an empty plot in the page's lettering.
func axes(title string) *plot.Plot {
	p := plot.New()
	p.Title.Text = title
	p.Title.TextStyle.Font.Size, p.Title.Padding = 9, 3
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font.Size, a.Tick.Label.Font.Size, a.Padding = 8, 7, 1
	}
	return p
}

// add adds one part to a plot, or fails.
func add[P plot.Plotter](t testing.TB, p *plot.Plot, part P, err error) P {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	p.Add(part)
	return part
}

// rankPicture shows how often the truth lay in each part of the estimate, for each
// of ranked: bars that should be alike, and the band that holds 99 of 100 of them if
// they are. A bar beyond it has another colour and a cross.
func rankPicture(t testing.TB, all places) []byte {
	t.Helper()
	return picture(t, 470, 440, func(c vgdraw.Canvas) {
		tiles := vgdraw.Tiles{Rows: 3, Cols: 2, PadX: 12, PadY: 8, PadTop: 4, PadBottom: 4, PadLeft: 4, PadRight: 10}
		for i, name := range ranked {
			rankPanel(t, name, all[i]).Draw(tiles.At(c, i%2, i/2))
		}
	})
}

// rankBand are the counts between which 99 of 100 parts lie if all are alike.
func rankBand(draws int) (low, high float64) {
	share := 1.0 / rankParts
	n := distuv.Normal{Mu: float64(draws) * share, Sigma: math.Sqrt(float64(draws) * share * (1 - share))}
	return n.Quantile(0.005), n.Quantile(0.995)
}

func rankPanel(t testing.TB, name string, at []float64) *plot.Plot {
	t.Helper()
	counts, chance := uniform(at, rankParts)
	p := axes(fmt.Sprintf("%s (p %.2f)", name, chance))
	low, high := rankBand(len(at))
	inside, beyond := make(plotter.Values, rankParts), make(plotter.Values, rankParts)
	var crosses plotter.XYs
	for i, n := range counts {
		if v := float64(n); v < low || v > high {
			beyond[i] = v
			crosses = append(crosses, plotter.XY{X: float64(i), Y: v})
		} else {
			inside[i] = v
		}
	}
	for _, bars := range []struct {
		values plotter.Values
		ink    color.Color
	}{{inside, inkBar}, {beyond, inkAmiss}} {
		b, err := plotter.NewBarChart(bars.values, 7)
		add(t, p, b, err)
		b.Color, b.LineStyle.Width = bars.ink, 0
	}
	for _, y := range []float64{low, high} {
		l, err := plotter.NewLine(plotter.XYs{{X: -0.6, Y: y}, {X: rankParts - 0.4, Y: y}})
		add(t, p, l, err)
		l.Color, l.Dashes, l.Width = inkLine, []vg.Length{3, 2}, 0.8
	}
	marks, err := plotter.NewScatter(crosses)
	add(t, p, marks, err)
	marks.GlyphStyle = vgdraw.GlyphStyle{Color: inkLine, Radius: 3, Shape: vgdraw.CrossGlyph{}}
	even := float64(len(at)) / rankParts
	p.Y.Min, p.Y.Max = 0, 1.35*even
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: even, Label: fmt.Sprintf("%.0f", even)}}
	p.X.Tick.Marker = plot.ConstantTicks{{Value: -0.5, Label: "0"}, {Value: rankParts/2 - 0.5, Label: "0.5"},
		{Value: rankParts - 0.5, Label: "1"}}
	return p
}

// leftOutPicture shows, a row each, what was said of the combinations left out and
// what was counted: a bar from low to high with a stroke at the mean, and a line
// with a dot. Where they have nothing in common the line is of another colour and
// the dot an open square.
func leftOutPicture(t testing.TB, all []leftOut) []byte {
	t.Helper()
	return picture(t, 470, font.Length(60+14*len(all)), func(c vgdraw.Canvas) {
		p := axes("Share by 10 s: said without its tests (bar), counted (line), 80 % limits")
		var rows []plot.Tick
		for i, l := range all {
			y := float64(len(all) - 1 - i)
			rows = append(rows, plot.Tick{Value: y, Label: l.name})
			leftOutRow(t, p, l, y)
		}
		p.Y.Tick.Marker = plot.ConstantTicks(rows)
		p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = -0.02, 1.02, -0.7, float64(len(all))-0.3
		p.X.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 0.2, Label: "2 in 10"},
			{Value: 0.5, Label: "half"}, {Value: 0.8, Label: "8 in 10"}, {Value: 1, Label: "all"}}
		p.Draw(vgdraw.Crop(c, 2, -8, 2, -2))
	})
}

func leftOutRow(t testing.TB, p *plot.Plot, l leftOut, y float64) {
	t.Helper()
	stroke := func(x1, y1, x2, y2 float64, ink color.Color, width vg.Length) {
		line, err := plotter.NewLine(plotter.XYs{{X: x1, Y: y1}, {X: x2, Y: y2}})
		add(t, p, line, err)
		line.Color, line.Width = ink, width
	}
	stroke(l.share.Low, y+0.16, l.share.High+0.002, y+0.16, inkBar, 4.5)
	stroke(l.share.Mean, y-0.05, l.share.Mean, y+0.37, inkLine, 1.2)
	ink, shape, radius := color.Color(inkLine), vgdraw.GlyphDrawer(vgdraw.CircleGlyph{}), vg.Length(2.4)
	if !l.agrees() {
		ink, shape, radius = inkAmiss, vgdraw.SquareGlyph{}, 4
	}
	stroke(l.low, y-0.22, l.high, y-0.22, ink, 1.2)
	dot, err := plotter.NewScatter(plotter.XYs{{X: float64(l.shown) / float64(l.n), Y: y - 0.22}})
	add(t, p, dot, err)
	dot.GlyphStyle = vgdraw.GlyphStyle{Color: ink, Radius: radius, Shape: shape}
}

// worldsPicture shows how the answers fare in each world: how many of 100 limits
// hold the truth, dot for tested set-ups and ring for untested ones, against the 80
// that should, and how many of 100 holds advised are too short.
func worldsPicture(t testing.TB, names []string, all []answers) []byte {
	t.Helper()
	return picture(t, 470, font.Length(120+26*len(all)), func(c vgdraw.Canvas) {
		tiles := vgdraw.Tiles{Rows: 1, Cols: 2, PadX: 10, PadTop: 4, PadBottom: 4, PadLeft: 4, PadRight: 12}
		held := axes("80 % limits that hold, of 100\n(dot tested, ring untested)")
		short := axes("holds too short for 8 in 10,\nof 100 advised")
		var rows []plot.Tick
		var tested, untested, poor plotter.XYs
		for i, a := range all {
			y := float64(len(all) - 1 - i)
			rows = append(rows, plot.Tick{Value: y, Label: names[i]})
			tested = append(tested, plotter.XY{X: 100 * float64(a.tested.held) / float64(a.tested.asked), Y: y})
			untested = append(untested, plotter.XY{X: 100 * float64(a.untested.held) / float64(a.untested.asked), Y: y})
			poor = append(poor, plotter.XY{X: 100 * float64(a.poorHolds) / float64(a.holds), Y: y})
		}
		marks(t, held, tested, vgdraw.CircleGlyph{})
		marks(t, held, untested, vgdraw.RingGlyph{})
		marks(t, short, poor, vgdraw.CircleGlyph{})
		aim, err := plotter.NewLine(plotter.XYs{{X: 80, Y: -0.5}, {X: 80, Y: float64(len(all)) - 0.5}})
		add(t, held, aim, err)
		aim.Color, aim.Dashes = inkLine, []vg.Length{3, 2}
		held.X.Min, held.X.Max = 40, 100
		short.X.Min, short.X.Max = 0, 25
		for _, p := range []*plot.Plot{held, short} {
			p.Y.Min, p.Y.Max = -0.5, float64(len(all))-0.5
		}
		held.Y.Tick.Marker, short.Y.Tick.Marker = plot.ConstantTicks(rows), plot.ConstantTicks(nil)
		held.Draw(wider(tiles.At(c, 0, 0), 70))
		short.Draw(vgdraw.Crop(tiles.At(c, 1, 0), 70, 0, 0, 0))
	})
}

// wider is a tile that reaches further to the right.
func wider(c vgdraw.Canvas, by vg.Length) vgdraw.Canvas { return vgdraw.Crop(c, 0, by, 0, 0) }

func marks(t testing.TB, p *plot.Plot, at plotter.XYs, shape vgdraw.GlyphDrawer) {
	t.Helper()
	s, err := plotter.NewScatter(at)
	add(t, p, s, err)
	s.GlyphStyle = vgdraw.GlyphStyle{Color: inkBar, Radius: 3.5, Shape: shape}
}

// savePicture puts a picture beside the page.
func savePicture(t testing.TB, name string, png []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join("../../docs", name), png, 0o644); err != nil {
		t.Fatal(err)
	}
}

// pixelsOf counts the pixels of a picture that are of about that colour.
func pixelsOf(t testing.TB, picture []byte, ink color.NRGBA) (n int) {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if color.NRGBAModel.Convert(img.At(x, y)) == ink {
				n++
			}
		}
	}
	return n
}

// The picture must show what the figures say: nothing amiss where ranks are
// uniform, and something where they are not.
func TestRankPictureShowsWhatIsAmiss(t *testing.T) {
	var even, heaped places
	for i := range even {
		for k := range 2000 {
			x := (float64(k) + 0.5) / 2000
			even[i], heaped[i] = append(even[i], x), append(heaped[i], x*x)
		}
	}
	if n := pixelsOf(t, rankPicture(t, even), inkAmiss); n > 0 {
		t.Errorf("uniform ranks: %d pixels say amiss", n)
	}
	if n := pixelsOf(t, rankPicture(t, heaped), inkAmiss); n < 1000 {
		t.Errorf("heaped ranks: %d pixels say amiss", n)
	}
}

func TestLeftOutPictureShowsWhatDisagrees(t *testing.T) {
	agreeing := leftOut{name: "one", shown: 4, n: 5, low: 0.4, high: 0.98, share: Share{Mean: 0.8, Low: 0.6, High: 0.9}}
	other := leftOut{name: "other", shown: 0, n: 5, low: 0, high: 0.4, share: Share{Mean: 0.8, Low: 0.6, High: 0.9}}
	if n := pixelsOf(t, leftOutPicture(t, []leftOut{agreeing}), inkAmiss); n > 0 {
		t.Errorf("agreeing: %d pixels say amiss", n)
	}
	if n := pixelsOf(t, leftOutPicture(t, []leftOut{agreeing, other}), inkAmiss); n < 50 {
		t.Errorf("one disagreeing: %d pixels say amiss", n)
	}
}

// What the page shows must be there, and be no heavier than a page should be.
func TestPicturesOfTheCalibrationPage(t *testing.T) {
	page, err := os.ReadFile("../../docs/calibration.md")
	if err != nil {
		t.Fatal(err)
	}
	links := regexp.MustCompile(`!\[([^\]]*)\]\(([^)]+)\)`).FindAllSubmatch(page, -1)
	if len(links) != 3 {
		t.Errorf("%d pictures on the page, want 3", len(links))
	}
	for _, link := range links {
		file, err := os.ReadFile(filepath.Join("../../docs", string(link[2])))
		if err != nil || len(file) > mostPictureBytes || len(link[1]) < 40 {
			t.Errorf("%s: %d bytes, alternative text %q, %v", link[2], len(file), link[1], err)
		}
		if _, err := png.DecodeConfig(bytes.NewReader(file)); err != nil {
			t.Errorf("%s: %v", link[2], err)
		}
	}
}
