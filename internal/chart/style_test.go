package chart

import (
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

// linear returns the colour's red, green and blue as amounts of light.
func linear(c color.Color) [3]float64 {
	v := asRGBA(c)
	var l [3]float64
	for i, u := range []uint8{v.R, v.G, v.B} {
		if s := float64(u) / 255; s <= 0.04045 {
			l[i] = s / 12.92
		} else {
			l[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return l
}

// contrast is the contrast ratio of two colours, 1 to 21.
// Source: WCAG 2.2, "contrast ratio" and "relative luminance" (from memory).
func contrast(a, b color.Color) float64 {
	luminance := func(c color.Color) float64 {
		l := linear(c)
		return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2]
	}
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func TestContrastOfKnownColours(t *testing.T) {
	near(t, "black on white", contrast(color.Black, color.White), 21, 1e-9)
	// #767676 on white is the palest grey text that passes 4.5 (WebAIM, from memory).
	near(t, "grey on white", contrast(color.RGBA{0x76, 0x76, 0x76, 0xFF}, color.White), 4.54, 0.01)
}

// Text needs 4.5 : 1, lines and shapes 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11, from
// memory). The chat's backgrounds are those seen in its light and dark looks.
func TestEverythingStandsOutFromWhatIsBehindIt(t *testing.T) {
	t.Run("light", func(t *testing.T) { checkContrast(t, lightScheme) })
	t.Run("dark", func(t *testing.T) { checkContrast(t, darkScheme) })
}

func checkContrast(t *testing.T, s scheme) {
	t.Helper()
	type pair struct {
		what       string
		front, bed hue
		least      float64
	}
	for _, v := range looks() {
		if got := contrast(s[v.on], s[v.shade]); !(got >= 4.5) {
			t.Errorf("%s: contrast %.2f, want at least 4.5", v.Short, got)
		}
	}
	pairs := []pair{
		{"text", ink, paper, 7}, {"text on a marked row", ink, testedBed, 7}, {"quiet text", quiet, paper, 4.5},
		{"quiet text on a marked row", quiet, testedBed, 4.5}, {"UNTESTED", tested, testedBed, 4.5},
		{"no tests", tested, lane, 4.5},
		{"curve of the tests", tested, paper, 3}, {"curve of the tests on the band", tested, computedBand, 3},
		{"estimate", computed, paper, 3}, {"estimate on its band", computed, computedBand, 3},
		{"a test", tested, lane, 3}, {"limits", quiet, paper, 3}, {"hold on the band", ink, computedBand, 3},
		{"edge line on paper", edge, paper, 3},
	}
	for _, p := range pairs {
		if got := contrast(s[p.front], s[p.bed]); !(got >= p.least) {
			t.Errorf("%s: contrast %.2f, want at least %g", p.what, got, p.least)
		}
	}
	// The paper ends where the chat begins, whatever the chat's look: by its edge
	// line or by the paper itself.
	for name, chat := range map[string]color.Color{
		"white": color.White, "light grey": color.RGBA{0xF2, 0xF3, 0xF5, 0xFF},
		"grey": color.RGBA{0x31, 0x33, 0x38, 0xFF}, "dark": color.RGBA{0x1A, 0x1A, 0x1E, 0xFF}, "black": color.Black,
	} {
		if line, bed := contrast(s[edge], chat), contrast(s[paper], chat); !(line >= 3 || bed >= 7) {
			t.Errorf("on a %s chat: contrast %.2f of the edge line, %.2f of the paper", name, line, bed)
		}
	}
}

// seenBy is what people with one kind of cone missing see, in amounts of light.
// Source: Machado, Oliveira, Fernandes, IEEE Trans Vis Comput Graph 15 (2009)
// 1291, severity 1.0 (from memory; each row must sum to 1, which is checked).
func seenBy() map[string][3][3]float64 {
	return map[string][3][3]float64{
		"no red cones": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216},
			{-0.003882, -0.048116, 1.051998}},
		"no green cones": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413},
			{-0.011820, 0.042940, 0.968881}},
		"no blue cones": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602},
			{0.004733, 0.691367, 0.303900}},
		"all cones": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	}
}

// lab returns CIE L*a*b* under daylight (D65) from amounts of light.
// Source: IEC 61966-2-1 for the primaries, CIE 15 for L*a*b* (from memory).
func lab(l [3]float64) [3]float64 {
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124564*l[0] + 0.3575761*l[1] + 0.1804375*l[2]) / 0.95047)
	y := f(0.2126729*l[0] + 0.7151522*l[1] + 0.0721750*l[2])
	z := f((0.0193339*l[0] + 0.1191920*l[1] + 0.9503041*l[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// A difference of about 2 is the least that is seen side by side; 10 is seen at
// a glance (practice). Shapes tell the same apart; this is the second string.
func TestColoursAreToldApartByEverybody(t *testing.T) {
	t.Run("light", func(t *testing.T) { checkToldApart(t, lightScheme) })
	t.Run("dark", func(t *testing.T) { checkToldApart(t, darkScheme) })
}

func checkToldApart(t *testing.T, s scheme) {
	t.Helper()
	type pair struct {
		what string
		a, b hue
	}
	pairs := []pair{{"tests and estimate", tested, computed}, {"tests and lines", tested, ink},
		{"band and paper", computedBand, paper}, {"marked row and paper", testedBed, paper}}
	states := looks()
	for i, a := range states {
		for _, b := range states[i+1:] {
			if a.shade != b.shade { // those that share a shade are told apart by their shape
				pairs = append(pairs, pair{a.Short + " and " + b.Short, a.shade, b.shade})
			}
		}
		pairs = append(pairs, pair{a.Short + " and in stock, untested", a.shade, testedBed})
	}
	for who, m := range seenBy() {
		for _, row := range m {
			near(t, who+", a row's sum", row[0]+row[1]+row[2], 1, 2e-6)
		}
		see := func(c color.Color) [3]float64 {
			l := linear(c)
			var seen [3]float64
			for i, row := range m {
				seen[i] = max(0, min(1, row[0]*l[0]+row[1]*l[1]+row[2]*l[2]))
			}
			return lab(seen)
		}
		for _, p := range pairs {
			a, b := see(s[p.a]), see(s[p.b])
			if d := math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2])); !(d >= 10) {
				t.Errorf("%s, %s: difference %.1f, want at least 10", who, p.what, d)
			}
		}
	}
}

// Without any colour the states are still told apart: their signs, in one
// ink, share no more than most of their pixels.
func TestEveryStateHasItsOwnShape(t *testing.T) {
	const side, r = 120, 40.0
	signs := map[string]pixels{}
	for _, v := range looks() {
		s := newSheet(side*2, false)
		v.mark(s, side, side, r, ink)
		p, err := s.finish("")
		if err != nil {
			t.Fatal(err)
		}
		signs[v.Short] = read(t, p)
	}
	for a := range signs {
		for b := range signs {
			if a >= b {
				continue
			}
			differ, inked := 0, 0
			for y := side - 50; y < side+50; y++ {
				for x := side - 50; x < side+50; x++ {
					one, other := signs[a].is(x, y, ink), signs[b].is(x, y, ink)
					if one || other {
						inked++
					}
					if one != other {
						differ++
					}
				}
			}
			if share := float64(differ) / float64(inked); !(share >= 0.25) {
				t.Errorf("%s and %s differ in %.0f %% of their ink, want at least 25 %%", a, b, 100*share)
			}
		}
	}
}

// No lettering is smaller than what is read at a third of the size.
func TestLetteringIsLarge(t *testing.T) {
	for _, l := range []letter{titleLetter, verdictLetter, textLetter, labelLetter, strongLetter, quietLetter} {
		if l.size < 30 {
			t.Errorf("lettering of %g px", l.size)
		}
	}
	for _, k := range []stroke{testsStroke, estimateStroke, untestedStroke, holdStroke, ceilingStroke, axisStroke} {
		if k.width < vg.Length(4) {
			t.Errorf("line of %g px", float64(k.width))
		}
	}
}
