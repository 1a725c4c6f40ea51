package chart

import (
	"bytes"
	"errors"
	"image"
	"math"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/calc"
)

// handMade is a combination whose figures are worked out by hand: seven tests,
// of which five showed, one after another, before any was given up.
func handMade() ShareByTime {
	c := ShareByTime{
		Product: "Orrick Mid", Setup: usualSetup, State: calc.StateHold, Headline: "HOLD 8 s", Hold: 8, Ceiling: 12,
		Target: 0.9, PullML: 0.1, Testers: 3,
		Tests: join(shown(1.2, 2, 2.9, 4.4, 6), none(20, 40)),
		Steps: []Step{{1.2, 1. / 7}, {2, 2. / 7}, {2.9, 3. / 7}, {4.4, 4. / 7}, {6, 5. / 7}},
	}
	for _, t := range ShareTimes() {
		c.Estimate = append(c.Estimate, handMadeEstimate(t))
	}
	return c
}

// handMadeEstimate is a curve in closed form: half by 3 s, its limits half by 2
// and 4.5 s.
func handMadeEstimate(t float64) Estimated {
	rise := func(half float64) float64 { return 1 / (1 + (half/t)*(half/t)) }
	return Estimated{t, rise(3), rise(4.5), rise(2)}
}

// untested is the same combination without its tests.
func untested(c ShareByTime) ShareByTime {
	c.Tests, c.Steps, c.Testers = nil, nil, 0
	return c
}

// axes are the axes of a drawn plot, read off its pixels: the time axis by its
// ticks, the shares by the lines of all and half.
type axes struct {
	pixels
	ticks     []float64 // places of the marked times
	times     []float64
	none, all float64
	foot      int // row of the time axis
}

// readAxes finds the time axis, the longest line of ink, and its ticks under
// it; the lines of the shares are those that cross the most of the plot.
func readAxes(t *testing.T, p Picture, times ...float64) axes {
	t.Helper()
	a := axes{pixels: read(t, p), times: times}
	for y := a.Bounds().Dy() - 1; y >= 0 && a.foot == 0; y-- {
		for _, r := range a.row(y, ink) {
			if r.to-r.from > 700 {
				a.foot = y
			}
		}
	}
	for _, r := range a.row(a.foot+6, ink) {
		a.ticks = append(a.ticks, r.middle())
	}
	if a.foot == 0 || len(a.ticks) != len(times) {
		t.Fatalf("axis in row %d with ticks at %v, want %d ticks", a.foot, a.ticks, len(times))
	}
	var lines []run
	for y := range a.foot {
		n := 0
		for _, r := range a.row(y, grid) {
			n += r.to - r.from
		}
		if n < 250 {
			continue
		}
		if k := len(lines) - 1; k >= 0 && lines[k].to == y-1 {
			lines[k].to = y
		} else {
			lines = append(lines, run{y, y})
		}
	}
	if len(lines) < 3 { // all, the target, half; tests may cover the line of none
		t.Fatalf("%d lines of shares, want at least 3", len(lines))
	}
	a.all = lines[0].middle()
	a.none = a.all + 2*(lines[2].middle()-a.all)
	return a
}

// at is where a time lies between the ticks, by its logarithm.
func (a axes) at(seconds float64) float64 {
	last := len(a.times) - 1
	return between(math.Log(seconds), math.Log(a.times[0]), math.Log(a.times[last]), a.ticks[0], a.ticks[last])
}

func (a axes) share(row float64) float64 { return between(row, a.none, a.all, 0, 1) }

// plotRuns are the stretches of a colour in the plot's column at a time.
func (a axes) plotRuns(seconds float64, c interface{ RGBA() (r, g, b, a uint32) }) []run {
	return slices.DeleteFunc(a.column(int(math.Round(a.at(seconds))), c), func(r run) bool {
		return float64(r.from) < a.all-20 || float64(r.to) > a.none+20
	})
}

func mustDraw(t *testing.T, c ShareByTime) Picture {
	t.Helper()
	p, err := c.Draw()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestTicksLieEvenlyByTheLogarithm(t *testing.T) {
	a := readAxes(t, mustDraw(t, handMade()), 0.3, 1, 3, 10, 30)
	for i, s := range a.times {
		near(t, secondsWords(s), a.ticks[i], a.at(s), 1)
	}
}

// The steps stand where Kaplan and Meier have them: all seven watched until the
// fifth showed, so each is a seventh.
func TestStepsLieWhereTheTestsSay(t *testing.T) {
	a := readAxes(t, mustDraw(t, handMade()), 0.3, 1, 3, 10, 30)
	for seconds, want := range map[float64]float64{0.6: 0, 1.5: 1. / 7, 2.4: 2. / 7, 3.6: 3. / 7, 5.2: 4. / 7,
		9: 5. / 7, 30: 5. / 7} {
		found := a.plotRuns(seconds, tested)
		if len(found) != 1 {
			t.Errorf("at %g s the curve of the tests is met %d times, want once", seconds, len(found))
			continue
		}
		near(t, secondsWords(seconds), a.share(found[0].middle()), want, 0.004)
	}
	for _, seconds := range []float64{45, 55} { // nobody watched that long
		if found := a.plotRuns(seconds, tested); len(found) != 0 {
			t.Errorf("at %g s the curve of the tests goes on", seconds)
		}
	}
	// The step itself: the curve is as tall as the seventh where a test showed.
	for _, s := range handMade().Steps {
		found := a.plotRuns(s.Seconds, tested)
		if len(found) != 1 || math.Abs(float64(found[0].to-found[0].from)/(a.none-a.all)-1./7) > 0.02 {
			t.Errorf("no step of a seventh at %g s: %v", s.Seconds, found)
		}
	}
}

func TestEstimateAndItsBandLieWhereTheFiguresSay(t *testing.T) {
	c := handMade()
	c.Steps = nil // they would cover the curve
	a := readAxes(t, mustDraw(t, c), 0.3, 1, 3, 10, 30)
	for _, seconds := range []float64{0.7, 1.5, 2.2, 3.5, 5, 9, 15} {
		want := handMadeEstimate(seconds)
		// Drawn slantwise, a line is wider than it is thick; its middle counts.
		curve := a.plotRuns(seconds, computed)
		if len(curve) != 1 {
			t.Errorf("at %g s the estimate is met %d times, want once", seconds, len(curve))
			continue
		}
		near(t, "mean by "+secondsWords(seconds), a.share(curve[0].middle()), want.Mean, 0.01)
		band := a.plotRuns(seconds, computedBand)
		if len(band) == 0 {
			t.Errorf("no band at %g s", seconds)
			continue
		}
		near(t, "high by "+secondsWords(seconds), a.share(float64(band[0].from)), want.High, 0.01)
		near(t, "low by "+secondsWords(seconds), a.share(float64(band[len(band)-1].to+1)), want.Low, 0.01)
	}
}

// The hold is a full line of ink over the whole plot, the ceiling a dotted one.
func TestHoldAndCeilingStandAtTheirTimes(t *testing.T) {
	holds := []int{0, 8, 15}
	if testing.Short() {
		holds = holds[2:]
	}
	for _, hold := range holds {
		c := handMade()
		c.Hold = hold
		a := readAxes(t, mustDraw(t, c), 0.3, 1, 3, 10, 30)
		inked := func(x int) float64 {
			n := 0
			for y := int(a.all); y < a.foot-4; y++ {
				if a.is(x, y, ink) {
					n++
				}
			}
			return float64(n) / float64(a.foot-4-int(a.all))
		}
		axisEnd := int(a.ticks[0]) + 10
		full := runs(sheetWidth, func(x int) bool { return x > axisEnd && inked(x) > 0.8 })
		dotted := runs(sheetWidth, func(x int) bool { return x > axisEnd && inked(x) > 0.3 && inked(x) < 0.6 })
		if len(dotted) != 1 {
			t.Fatalf("hold %d s: dotted lines %v, want one", hold, dotted)
		}
		near(t, "ceiling", dotted[0].middle(), a.at(c.Ceiling), 1.5)
		if hold == 0 {
			if len(full) != 0 {
				t.Errorf("without a hold, full lines %v", full)
			}
			continue
		}
		if len(full) != 1 {
			t.Fatalf("hold %d s: full lines %v, want one", hold, full)
		}
		near(t, "hold", full[0].middle(), a.at(float64(hold)), 1.5)
	}
}

// Every test has its own mark in the lane: a dot at its time, or an arrow that
// begins at the time watched and points onwards.
func TestEveryTestHasItsMark(t *testing.T) {
	c := handMade()
	c.Hold, c.State = 0, calc.StateNotSettled
	a := readAxes(t, mustDraw(t, c), 0.3, 1, 3, 10, 30)
	found := a.blobs(image.Rect(plotLeft+4, int(a.none)+10, sheetWidth-30, a.foot-3), tested)
	slices.SortFunc(found, func(x, y blob) int { return x.Min.X - y.Min.X })
	if len(found) != 7 {
		t.Fatalf("%d marks, want 7: %v", len(found), found)
	}
	for i, s := range []float64{1.2, 2, 2.9, 4.4, 6} {
		near(t, "dot at "+secondsWords(s), float64(found[i].Min.X+found[i].Max.X)/2, a.at(s), 1.5)
		near(t, "width of a dot", float64(found[i].Dx()), 2*dotRadius, 2)
	}
	for i, s := range []float64{20, 40} {
		arrow := found[5+i]
		near(t, "arrow from "+secondsWords(s), float64(arrow.Min.X), a.at(s)-2.5, 1.5)
		if arrow.Dx() < 40 || arrow.Max.X > plotRight {
			t.Errorf("arrow from %g to %d, want 40 px or more within the plot", float64(arrow.Min.X), arrow.Max.X)
		}
	}
}

func TestTestsAtOneTimeDoNotHideEachOther(t *testing.T) {
	c := handMade()
	c.Hold, c.State = 0, calc.StateNotSettled
	c.Tests, c.Steps = shown(3, 3, 3, 3.01, 3), nil
	c.Tests[2].Slip = true
	a := readAxes(t, mustDraw(t, c), 0.3, 1, 3, 10, 30)
	found := a.blobs(image.Rect(plotLeft+4, int(a.none)+10, sheetWidth-30, a.foot-3), tested)
	if len(found) != 5 {
		t.Fatalf("%d marks, want 5", len(found))
	}
	hollow := 0
	for _, b := range found {
		middle := b.Min.Add(b.Max).Div(2)
		if a.is(middle.X, middle.Y, lane) {
			hollow++
		}
	}
	if hollow != 1 {
		t.Errorf("%d rings, want 1 for the slip of the pen", hollow)
	}
}

// An untested combination looks like nothing that was tested, whatever state
// and hold come with it.
func TestUntestedLooksUntested(t *testing.T) {
	c := untested(handMade())
	with := mustDraw(t, c)
	c.State, c.Hold = "", 0
	without := mustDraw(t, c)
	if !bytes.Equal(with.PNG, without.PNG) || with.Alt != without.Alt {
		t.Error("the state or the hold shows in an untested picture")
	}
	if strings.Contains(strings.ToLower(with.Alt), "hold") ||
		!strings.HasPrefix(with.Alt, "Untested, a calculation, not a test: ") {
		t.Errorf("alternative text: %s", with.Alt)
	}
	a := readAxes(t, with, 0.3, 1, 3, 10, 30)
	for _, v := range looks() {
		for _, b := range a.blobs(a.Bounds(), v.shade) { // a soft edge may have its colour by chance
			if b.Dx() > 10 && b.Dy() > 10 {
				t.Errorf("the shade of %q is in an untested picture", v.Short)
			}
		}
	}
	dashed, striped := a.alongCurve(), a.acrossBand()
	if !(dashed > 0.4 && dashed < 0.8) || !(striped > 0.2 && striped < 0.5) {
		t.Errorf("curve drawn over %.2f of its length, band over %.2f of its width: want dashes and stripes", dashed,
			striped)
	}
	c = handMade()
	c.Steps, c.Hold, c.State = nil, 0, calc.StateNotSettled
	a = readAxes(t, mustDraw(t, c), 0.3, 1, 3, 10, 30)
	if full, band := a.alongCurve(), a.acrossBand(); full < 0.97 || band < 0.97 {
		t.Errorf("tested: curve drawn over %.2f of its length, band over %.2f of its width: want all", full, band)
	}
}

// alongCurve is the part of the estimate's length that is drawn.
func (a axes) alongCurve() float64 {
	drawn, all := 0, 0
	for s := 0.5; s < 9; s *= 1.003 {
		x, y := a.at(s), between(handMadeEstimate(s).Mean, 0, 1, a.none, a.all)
		all++
		if a.is(int(x), int(y), computed) {
			drawn++
		}
	}
	return float64(drawn) / float64(all)
}

// acrossBand is the part of the columns in which the band is painted, halfway
// between the curve and the band's lower edge.
func (a axes) acrossBand() float64 {
	painted, all := 0, 0
	for x := int(a.at(2)); x < int(a.at(8)); x++ {
		s := a.times[0] * math.Pow(a.times[len(a.times)-1]/a.times[0],
			(float64(x)-a.ticks[0])/(a.ticks[len(a.ticks)-1]-a.ticks[0]))
		e := handMadeEstimate(s)
		if y := between((e.Mean+e.Low)/2, 0, 1, a.none, a.all); a.is(x, int(y), computedBand) {
			painted++
		}
		all++
	}
	return float64(painted) / float64(all)
}

// The estimate is read between the times it was worked out at.
func TestEstimateBetweenItsTimes(t *testing.T) {
	c := handMade()
	for _, s := range []float64{0.5, 3, 10, 30, 299} {
		got, ok := c.At(s)
		want := handMadeEstimate(s)
		if !ok {
			t.Errorf("no estimate at %g s", s)
		}
		near(t, "mean", got.Mean, want.Mean, 0.002)
		near(t, "low", got.Low, want.Low, 0.002)
		near(t, "high", got.High, want.High, 0.002)
	}
	for _, s := range []float64{0.001, 301} {
		if _, ok := c.At(s); ok {
			t.Errorf("an estimate at %g s, which is outside", s)
		}
	}
}

func TestShareByTimeRefusesWhatItCannotDraw(t *testing.T) {
	nan := math.NaN()
	for name, spoil := range map[string]func(*ShareByTime){
		"no ceiling":              func(c *ShareByTime) { c.Ceiling = 0 },
		"ceiling not a number":    func(c *ShareByTime) { c.Ceiling = nan },
		"target of all":           func(c *ShareByTime) { c.Target = 1 },
		"hold below 0":            func(c *ShareByTime) { c.Hold = -1 },
		"time below 0":            func(c *ShareByTime) { c.Tests[6].Seconds = -0.1 },
		"endless time":            func(c *ShareByTime) { c.Tests[6].Seconds = math.Inf(1) },
		"pull not a number":       func(c *ShareByTime) { c.Tests[0].PullML = nan },
		"steps out of order":      func(c *ShareByTime) { c.Steps[1], c.Steps[2] = c.Steps[2], c.Steps[1] },
		"share above 1":           func(c *ShareByTime) { c.Steps[4].Share = 1.1 },
		"estimate out of order":   func(c *ShareByTime) { slices.Reverse(c.Estimate) },
		"limits the wrong way":    func(c *ShareByTime) { c.Estimate[40].Low, c.Estimate[40].High = 0.9, 0.1 },
		"estimate not a number":   func(c *ShareByTime) { c.Estimate[40].Mean = nan },
		"estimate at no time yet": func(c *ShareByTime) { c.Estimate[0].Seconds = nan },
	} {
		c := handMade()
		spoil(&c)
		var out *calc.RangeError
		if _, err := c.Draw(); !errors.As(err, &out) {
			t.Errorf("%s: %v, want a RangeError", name, err)
		}
	}
	c := handMade()
	c.State = "safe"
	if _, err := c.Draw(); err == nil || !strings.Contains(err.Error(), `"safe" is no state`) {
		t.Errorf("a word that is no state: %v", err)
	}
	c = handMade()
	c.Steps[0].Seconds = 1.1
	if _, err := c.Draw(); err == nil || !strings.Contains(err.Error(), "no test showed") {
		t.Errorf("a step without a test: %v", err)
	}
}

func TestAlternativeTextOfShareByTime(t *testing.T) {
	bare := untested(handMade())
	bare.Estimate = nil
	slow := handMade()
	slow.State, slow.Headline, slow.Tests, slow.Steps, slow.Testers = calc.StateTooSlow, "NO HOLD: too slow",
		none(30, 30), nil, 1
	for i, e := range slow.Estimate {
		late := handMadeEstimate(e.Seconds / 20) // everything takes twenty times as long
		slow.Estimate[i] = Estimated{e.Seconds, late.Mean, late.Low, late.High}
	}
	slip := handMade()
	slip.Tests[3].Slip, slip.Tests[0].PullML = true, 0.2
	const estimated = "Estimated share: 1 in 10 by 1 s (fewer than 1 in 20 to 2 in 10), 5 in 10 by 3 s (3 in 10 to 7 " +
		"in 10), " +
		"9 in 10 by 10 s (8 in 10 to more than 19 in 20), more than 19 in 20 by 30 s. "
	for _, c := range []struct {
		scene string
		share ShareByTime
		want  string
	}{
		{"tested", handMade(), "Orrick Mid, 30G 13 mm needle, supplied syringe. HOLD 8 s. 7 tests by 3 members: 5 " +
			"shown by 12 s, 2 none. " +
			"Estimate: 9 in 10 by 12 s (9 in 10 to more than 19 in 20). Those that showed took 1.2 s to 6 s. Those " +
			"that did not were watched 20 s to 40 s. " +
			estimated + "The ceiling is 12 s. Pull 0.1 mL. " + altCaveats},
		{"none shown", slow, "Orrick Mid, 30G 13 mm needle, supplied syringe. NO HOLD: too slow. 2 tests by 1 " +
			"member: 0 shown by 12 s, 2 none. " +
			"Estimate: fewer than 1 in 20 by 12 s (fewer than 1 in 20 to 1 in 10). Those that did not were watched " +
			"30 s. " +
			"Estimated share: fewer than 1 in 20 by 1 s, fewer than 1 in 20 by 3 s, fewer than 1 in 20 by 10 s " +
			"(fewer than 1 in 20 to 1 in 10), 2 in 10 by 30 s (1 in 10 to 4 in 10). " +
			"The ceiling is 12 s. Pull 0.1 mL. " + altCaveats},
		{"a slip and another pull", slip, "Orrick Mid, 30G 13 mm needle, supplied syringe. HOLD 8 s. 7 tests by 3 " +
			"members: 5 shown by 12 s, 2 none. " +
			"Estimate: 9 in 10 by 12 s (9 in 10 to more than 19 in 20). Those that showed took 1.2 s to 6 s. Those " +
			"that did not were watched 20 s to 40 s. " +
			"Not fitting the others: 1. " + estimated + "The ceiling is 12 s. Pull 0.1 mL in the estimate; another " +
			"pull in 1 of the 7 tests. " + altCaveats},
		{"untested", untested(handMade()), "Untested, a calculation, not a test: Orrick Mid, 30G 13 mm needle, " +
			"supplied syringe. " +
			"Calculated: 9 in 10 by 12 s (9 in 10 to more than 19 in 20). " +
			strings.Replace(estimated, "Estimated", "Calculated", 1) +
			"The ceiling is 12 s. Pull 0.1 mL. " + altCaveats},
		{"nothing known", bare, "Untested, nothing is known of it yet: Orrick Mid, 30G 13 mm needle, supplied " +
			"syringe. The ceiling is 12 s. " + altCaveats},
	} {
		p := mustDraw(t, c.share)
		if p.Alt != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.scene, p.Alt, c.want)
		}
	}
}
