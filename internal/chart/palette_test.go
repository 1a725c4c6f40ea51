package chart

import (
	"image"
	"image/color"
	"testing"
)

func TestEveryColourOfTheStyleIsAnInk(t *testing.T) {
	for _, dark := range []bool{false, true} {
		s := newSheet(100, dark)
		if n := len(s.inks()); n > 256 {
			t.Fatalf("%d inks do not fit in a byte", n)
		}
		for h, c := range s.scheme {
			if got := s.inks().Convert(c); c.A != 0xFF || got != color.Color(c) {
				t.Errorf("hue %d, %v, comes out as %v", h, c, got)
			}
		}
	}
}

// What is drawn keeps its colours: of all pixels, few move at all and none by
// much, where three colours meet at a soft edge.
func TestInksAreCloseToWhatIsDrawn(t *testing.T) {
	for paper, dark := range map[string]bool{"light": false, "dark": true} {
		t.Run(paper, func(t *testing.T) { checkInks(t, dark) })
	}
}

func checkInks(t *testing.T, dark bool) {
	t.Helper()
	table := coverageScenes()["10 by 11"].page(1)
	var err error
	if table.cells, err = table.byPlace(); err != nil {
		t.Fatal(err)
	}
	testers := newTesterPage(testerScenes()["nine"], 1)
	for name, blocks := range thinned(map[string][]block{
		"share": {words("Orrick Mid", titleLetter, 1), headline(looks()[0], "HOLD 8 s"), handMade().plot(),
			legend(handMade().keys()), caveats()},
		"untested": {untestedBanner(untestedWords), untested(handMade()).plot(), legend(untested(handMade()).keys())},
		"coverage": {table.grid(), legend(table.keys())},
		"testers":  {testers.rows(), legend(testers.keys())},
	}, "share") {
		s := compose(dark, blocks...)
		flat, err := s.paletted()
		if err != nil {
			t.Fatal(err)
		}
		drawn := s.canvas.Image()
		moved, far, total := 0, 0, 0
		for y := range drawn.Bounds().Dy() {
			for x := range drawn.Bounds().Dx() {
				d := distance(drawn, flat, x, y)
				total++
				if d > 20 {
					moved++
				}
				if d > 64 {
					far++
				}
			}
		}
		if float64(moved) > 0.002*float64(total) || far > 0 {
			t.Errorf("%s: of %d pixels %d moved by more than 20 of 255 and %d by more than 64", name, total, moved, far)
		}
	}
}

// distance is the largest difference of red, green and blue, of 255.
func distance(a, b image.Image, x, y int) int {
	p, q := asRGBA(a.At(x, y)), asRGBA(b.At(x, y))
	d := func(u, v uint8) int { return max(int(u)-int(v), int(v)-int(u)) }
	return max(d(p.R, q.R), d(p.G, q.G), d(p.B, q.B))
}
