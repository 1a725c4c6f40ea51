package chart

import (
	"image/color"
	"testing"
)

// On dark paper every picture is the one on light paper in other colours: where
// one has a hue the other has the same, soft edges apart, and the words are the
// same. So all that is tested on light paper holds on dark.
func TestDarkPicturesAreTheLightOnesInOtherColours(t *testing.T) {
	rich, mixed := shareScenes(t)["rich"], shareScenes(t)["mixed"]
	bare, group, testers := untested(handMade()), coverageScenes()["10 by 11"], testerScenes()["nine"]
	mine := mineScenes()["every state"]
	for name, draw := range thinned(map[string]func(dark bool) (Picture, error){
		"share rich":       func(dark bool) (Picture, error) { rich.Dark = dark; return rich.Draw() },
		"share mixed":      func(dark bool) (Picture, error) { mixed.Dark = dark; return mixed.Draw() },
		"share untested":   func(dark bool) (Picture, error) { bare.Dark = dark; return bare.Draw() },
		"coverage 10 × 11": func(dark bool) (Picture, error) { group.Dark = dark; return group.Draw(1) },
		"mine":             func(dark bool) (Picture, error) { mine.Dark = dark; return mine.Draw(1) },
		"testers nine":     func(dark bool) (Picture, error) { testers.Dark = dark; return testers.Draw(1) },
	}, "coverage 10 × 11") {
		t.Run(name, func(t *testing.T) {
			light, err := draw(false)
			if err != nil {
				t.Fatal(err)
			}
			dark, err := draw(true)
			if err != nil {
				t.Fatal(err)
			}
			keepPicture(t, name+", dark", dark)
			if light.Alt != dark.Alt {
				t.Errorf("the words differ:\n%s\n%s", light.Alt, dark.Alt)
			}
			checkHues(t, read(t, light), read(t, dark))
		})
	}
}

// checkHues compares the hues of two pictures, pixel by pixel. Colours that two
// hues of light paper share may be either on dark.
func checkHues(t *testing.T, light, dark pixels) {
	t.Helper()
	if light.Bounds() != dark.Bounds() {
		t.Fatalf("%v on light paper, %v on dark", light.Bounds(), dark.Bounds())
	}
	may := map[color.RGBA]map[color.RGBA]bool{}
	for h, c := range lightScheme {
		if may[c] == nil {
			may[c] = map[color.RGBA]bool{}
		}
		may[c][darkScheme[h]] = true
	}
	seen, amiss := 0, 0
	for y := range light.Bounds().Dy() {
		for x := range light.Bounds().Dx() {
			want, full := may[light.RGBAAt(x, y)]
			if !full {
				continue // a soft edge
			}
			seen++
			if !want[dark.RGBAAt(x, y)] {
				amiss++
			}
		}
	}
	// Where a soft edge comes out as one of its two ends on light paper it need not
	// on dark.
	if total := light.Bounds().Dx() * light.Bounds().Dy(); seen < total*9/10 || float64(amiss) > 0.01*float64(seen) {
		t.Errorf("of %d pixels %d have a full hue, %d of them another on dark paper", total, seen, amiss)
	}
}
