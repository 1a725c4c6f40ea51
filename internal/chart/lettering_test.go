package chart

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFitAndWrapKeepToTheWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zA-Z0-9 ,.:äß–]{0,80}`).Draw(t, "text")
		width := rapid.Float64Range(120, 900).Draw(t, "width")
		most := rapid.IntRange(1, 4).Draw(t, "lines")
		l := labelLetter
		if got := l.fit(text, width); l.width(got) > width {
			t.Errorf("fit(%q, %.0f) = %q, %.0f wide", text, width, got, l.width(got))
		}
		lines := l.wrap(text, width, most)
		if len(lines) > most {
			t.Errorf("wrap gave %d lines, want at most %d", len(lines), most)
		}
		for _, line := range lines {
			if l.width(line) > width {
				t.Errorf("line %q is %.0f wide, want at most %.0f", line, l.width(line), width)
			}
		}
		// What was not shortened is all there.
		if whole := strings.Join(lines, ""); !strings.HasSuffix(whole, "…") &&
			strings.ReplaceAll(whole, " ", "") != strings.ReplaceAll(text, " ", "") {
			t.Errorf("wrap lost something of %q: %q", text, lines)
		}
		for _, line := range l.ends(text, width) {
			if l.width(line) > width {
				t.Errorf("ends gave %q, %.0f wide, want at most %.0f", line, l.width(line), width)
			}
		}
	})
}

// Names of one maker differ at their ends.
func TestLongNamesKeepTheirEnds(t *testing.T) {
	one := labelLetter.ends("Wollaston Bay Reinforced Deep Volume Gel, plain", 262)
	other := labelLetter.ends("Wollaston Bay Reinforced Deep Volume Gel, 1:1", 262)
	if len(one) != 2 || len(other) != 2 || !strings.HasSuffix(one[1], "plain") || !strings.HasSuffix(other[1], "1:1") {
		t.Errorf("%q and %q", one, other)
	}
}

// The widths that everything is laid out by are those that are drawn.
func TestTextIsAsWideAsItIsSaidToBe(t *testing.T) {
	for _, l := range []letter{titleLetter, labelLetter, quietLetter} {
		s := newSheet(200, false)
		s.text(100, 120, "Hhold tests in timeH", l, fromLeft)
		p, err := s.finish("")
		if err != nil {
			t.Fatal(err)
		}
		img := read(t, p)
		left, right := sheetWidth, 0.0
		for y := 30; y < 170; y++ {
			for x := 30; x < sheetWidth-30; x++ {
				if !img.is(x, y, paper) {
					left, right = min(left, float64(x)), max(right, float64(x+1))
				}
			}
		}
		// The side bearings of an H are about 8 % of the size each.
		near(t, "drawn width", right-left, l.width("Hhold tests in timeH")-0.16*l.size, 0.05*l.size)
		near(t, "left edge", left, 100+0.08*l.size, 0.04*l.size)
	}
}
