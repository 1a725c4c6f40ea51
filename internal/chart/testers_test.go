package chart

import (
	"errors"
	"image"
	"math"
	"slices"
	"testing"

	"holdbench/internal/calc"
)

// testerRows are the rows of a drawn comparison, with the axis as it is read
// off the picture: the line of "same" and the lines beside it.
type testerRows struct {
	pixels
	same, right float64 // places of 1 and of the marked ratio right of it
	ratio       float64 // that ratio
	top         int     // row of pixels where the first tester begins
}

func readRows(t *testing.T, p Picture, ratio float64) testerRows {
	t.Helper()
	r := testerRows{pixels: read(t, p), ratio: ratio}
	const least = 40                  // taller than any letter
	tall := func(x int) (run, bool) { // the first such stretch of ink
		for _, k := range r.column(x, ink) {
			if k.to-k.from > least {
				return k, true
			}
		}
		return run{}, false
	}
	for _, found := range runs(sheetWidth, func(x int) bool { _, ok := tall(x); return ok }) {
		if found.middle() > testersLeft {
			r.same = found.middle()
			line, _ := tall(found.from + 1)
			r.top = line.from + 14
		}
	}
	for _, found := range runs(sheetWidth, func(x int) bool {
		n := 0
		for _, k := range r.column(x, grid) {
			n += k.to - k.from + 1
		}
		return float64(x) > r.same+10 && n > least
	}) {
		r.right = found.middle()
		break
	}
	if r.same == 0 || r.right == 0 {
		t.Fatalf("axis with 1 at %.0f and %g at %.0f, first row at %d", r.same, ratio, r.right, r.top)
	}
	return r
}

func (r testerRows) at(ratio float64) float64 {
	return between(math.Log(ratio), 0, math.Log(r.ratio), r.same, r.right)
}

// mid is the row of pixels in the middle of a tester's row.
func (r testerRows) mid(row int) int { return r.top + row*testerRow + testerRow/2 }

// Each tester's interval ends where the figures say, the ratio is marked where
// it lies, and who differs is marked by shape and by the row's shade.
func TestTestersLieWhereTheFiguresSay(t *testing.T) {
	c := testerScenes()["nine"]
	p, err := c.Draw(1)
	if err != nil {
		t.Fatal(err)
	}
	r := readRows(t, p, 4.0/3)
	order := newTesterPage(c, 1).order
	for i, tester := range order {
		y := r.mid(i)
		if shaded := r.is(margin+2, y, testedBed); shaded != tester.Differs {
			t.Errorf("%s: row marked %t, differs %t", tester.Name, shaded, tester.Differs)
		}
		plot := image.Rect(testersLeft-20, y-30, testersRight+20, y+30)
		if !tester.compared() {
			if n := len(r.blobs(plot, quiet)) + len(r.blobs(plot, tested)); n > 0 {
				t.Errorf("%s: %d marks for a tester who cannot be compared", tester.Name, n)
			}
			continue
		}
		colour := quiet
		if tester.Differs {
			colour = tested
		}
		box := image.Rectangle{}
		for _, b := range r.blobs(plot, colour) {
			box = box.Union(b.Rectangle)
		}
		near(t, tester.Name+", low", float64(box.Min.X)+2.5, r.at(tester.Low), 1.5)
		near(t, tester.Name+", high", float64(box.Max.X)-2.5, r.at(tester.High), 1.5)
		r.checkSign(t, tester, y)
	}
}

// checkSign checks the sign at the ratio: a ring, or a triangle that is taller
// on the side it comes from.
func (r testerRows) checkSign(t *testing.T, tester Tester, y int) {
	t.Helper()
	x := r.at(tester.Ratio)
	if !tester.Differs {
		found := runs(sheetWidth, func(x int) bool { return r.is(x, y-10, quiet) })
		found = slices.DeleteFunc(found, func(k run) bool { // the bars at the ends
			return math.Abs(k.middle()-r.at(tester.Low)) < 4 || math.Abs(k.middle()-r.at(tester.High)) < 4
		})
		if len(found) == 0 {
			t.Errorf("%s: no ring", tester.Name)
			return
		}
		near(t, tester.Name+", ring", float64(found[0].from+found[len(found)-1].to+1)/2, x, 1.5)
		return
	}
	height := func(x float64) int {
		n := 0
		for dy := -25; dy <= 25; dy++ {
			if r.is(int(x), y+dy, tested) {
				n++
			}
		}
		return n
	}
	faster, slower := height(x-18), height(x+18)
	if (tester.Ratio < 1) != (faster < slower) {
		t.Errorf("%s at %.2f: the triangle is %d px tall on the faster and %d on the slower side", tester.Name,
			tester.Ratio, faster, slower)
	}
	near(t, tester.Name+", triangle in the middle", float64(height(x)), 22, 3)
}

func TestTestersStandFromFastToSlow(t *testing.T) {
	p := newTesterPage(testerScenes()["nine"], 1)
	var names []string
	for _, tester := range p.order {
		names = append(names, tester.Name)
	}
	want := []string{"osier", "crossgate", "fernhill", "lantern", "quayside", "tidewell", "harbour-row", "millbrook",
		"greywater"}
	if !slices.Equal(names, want) {
		t.Errorf("%v, want %v", names, want)
	}
}

// A limit beyond the axis ends in an arrow past its end, not in a bar.
func TestLimitsBeyondTheAxisEndInArrows(t *testing.T) {
	c := testerScenes()["wide and long"]
	p, err := c.Draw(1)
	if err != nil {
		t.Fatal(err)
	}
	r := readRows(t, p, 2)
	order := newTesterPage(c, 1).order
	for i, tester := range order {
		y := r.mid(i)
		wantLeft, wantRight := tester.compared() && tester.Low < 1./8, tester.compared() && tester.High > 8
		colour := quiet
		if tester.Differs {
			colour = tested
		}
		if left := r.is(testersLeft-8, y, colour); left != wantLeft {
			t.Errorf("%s: arrow to the left %t, want %t", tester.Name, left, wantLeft)
		}
		if right := r.is(testersRight+8, y, colour); right != wantRight {
			t.Errorf("%s: arrow to the right %t, want %t", tester.Name, right, wantRight)
		}
	}
}

func TestTestersRefuseWhatCannotBeDrawn(t *testing.T) {
	for name, spoil := range map[string]func(*TesterComparison){
		"no confidence":          func(c *TesterComparison) { c.Confidence = 0 },
		"tests below 0":          func(c *TesterComparison) { c.Testers[0].Tests = -1 },
		"ratio below 0":          func(c *TesterComparison) { c.Testers[0].Ratio = -1 },
		"ratio not a number":     func(c *TesterComparison) { c.Testers[0].Ratio = math.NaN() },
		"endless limit":          func(c *TesterComparison) { c.Testers[0].High = math.Inf(1) },
		"low limit of 0":         func(c *TesterComparison) { c.Testers[0].Low = 0 },
		"ratio above its limits": func(c *TesterComparison) { c.Testers[0].Ratio = 2 },
	} {
		c := testerScenes()["nine"]
		spoil(&c)
		var out *calc.RangeError
		if _, err := c.Draw(1); !errors.As(err, &out) {
			t.Errorf("%s: %v, want a RangeError", name, err)
		}
	}
}

func TestAlternativeTextOfTesters(t *testing.T) {
	alike := TesterComparison{Confidence: 0.95, Testers: []Tester{{"osier", 15, 0.9, 0.8, 1.1, false},
		{"lantern", 1, 0, 0, 0, false}}}
	for _, s := range []struct {
		scene string
		c     TesterComparison
		page  int
		want  string
	}{
		{"two differ", testerScenes()["nine"], 1, "Testers compared, Saltmarsh Lane Study Circle: time to flashback " +
			"against the rest, same combination. " +
			"Of 8 compared, 1 clearly shorter, 1 clearly longer. osier: 0.71 times (0.60 to 0.84), 15 tests, clearly " +
			"shorter. " +
			"millbrook: 1.31 times (1.12 to 1.53), 21 tests, clearly longer. crossgate: 0.93 times (0.82 to 1.06), " +
			"19 tests. " +
			"fernhill: 0.97 times (0.85 to 1.11), 17 tests. lantern: 1.00 times (0.87 to 1.15), 17 tests. quayside: " +
			"1.02 times (0.88 to 1.18), 14 tests. " +
			"tidewell: 1.05 times (0.94 to 1.17), 26 tests. harbour-row: 1.10 times (0.91 to 1.33), 12 tests. " +
			"greywater: 3 tests, too few."},
		{"nobody differs", alike, 1, "Testers compared: time to flashback against the rest, same combination. Of 1 " +
			"compared, none clearly differs from the others. " +
			"osier: 0.90 times (0.80 to 1.10), 15 tests. lantern: 1 test, too few."},
		{"too few", testerScenes()["one"], 1, "Testers compared, A group: time to flashback against the rest, same " +
			"combination. " +
			"Too few tests to compare anybody yet. quayside: 2 tests, too few."},
		{"nobody", testerScenes()["empty"], 1, "No tests by members yet: nobody to compare."},
	} {
		p, err := s.c.Draw(s.page)
		if err != nil {
			t.Fatal(err)
		}
		if want := s.want + " " + altCaveats; p.Alt != want {
			t.Errorf("%s:\n got %s\nwant %s", s.scene, p.Alt, want)
		}
	}
}
