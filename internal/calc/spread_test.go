package calc

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// asTimes makes tests whose ln times are the given values, one slice per tester.
func asTimes(combination string, testers [][]float64) []Repeat {
	var tests []Repeat
	for i, values := range testers {
		for _, v := range values {
			tests = append(tests, Repeat{combination, string(rune('a' + i)), Seconds(math.Exp(v))})
		}
	}
	return tests
}

// Sulfur content of coal, eight laboratories with three to five results each: ISO
// 5725-2:1994, annex B, example 1, data and results both from memory (they agree
// with each other to every printed digit).
func TestMeasureSpreadAgainstTheStandardsExample(t *testing.T) {
	levels := []struct {
		labs                   [][]float64
		repeatability, reprod3 float64
	}{
		{[][]float64{{.71, .71, .70, .71}, {.69, .67, .68}, {.66, .65, .69}, {.67, .65, .66},
			{.70, .69, .66, .71, .69}, {.73, .74, .73}, {.71, .71, .69}, {.70, .65, .68}}, .015, .026},
		{[][]float64{{1.20, 1.18, 1.23, 1.21}, {1.22, 1.21, 1.22}, {1.28, 1.31, 1.30}, {1.23, 1.18, 1.20},
			{1.31, 1.22, 1.22, 1.24}, {1.39, 1.36, 1.37}, {1.20, 1.26, 1.26}, {1.24, 1.22, 1.30}}, .029, .061},
		{[][]float64{{1.68, 1.70, 1.68, 1.69}, {1.64, 1.64, 1.65}, {1.61, 1.61, 1.62}, {1.68, 1.66, 1.66},
			{1.64, 1.67, 1.60, 1.66, 1.68}, {1.70, 1.73, 1.73}, {1.69, 1.70, 1.68}, {1.67, 1.68, 1.67}}, .017, .035},
		{[][]float64{{3.26, 3.26, 3.20, 3.24}, {3.20, 3.20, 3.20}, {3.37, 3.36, 3.38}, {3.16, 3.22, 3.23},
			{3.20, 3.19, 3.18, 3.27, 3.24}, {3.27, 3.31, 3.29}, {3.27, 3.24, 3.23}, {3.25, 3.26, 3.27}}, .026, .058},
	}
	const digit = 0.5e-3 // three decimals are printed
	for i, level := range levels {
		got, err := MeasureSpread(asTimes("coal", level.labs), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Repeatability.Value-level.repeatability) > digit ||
			math.Abs(got.Reproducibility.Value-level.reprod3) > digit {
			t.Errorf("level %d: %.4f and %.4f, want %.3f and %.3f", i+1,
				got.Repeatability.Value, got.Reproducibility.Value, level.repeatability, level.reprod3)
		}
	}
}

// Travel of an ultrasonic wave in six rails, three times each: Pinheiro, Bates,
// Mixed-Effects Models in S and S-PLUS (2000), §1.1, prints 24.805 and 4.0208 (from
// memory, confirmed by nlme 3.1-162).
func TestMeasureSpreadOfRails(t *testing.T) {
	got, err := MeasureSpread(asTimes("rail", [][]float64{
		{55, 53, 54}, {26, 37, 32}, {78, 91, 85}, {92, 100, 96}, {49, 51, 50}, {80, 85, 83},
	}), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.BetweenTesters.Value-24.805) > 0.5e-3 || math.Abs(got.Repeatability.Value-4.0208) > 0.5e-4 {
		t.Errorf("%.4f between, %.5f within; want 24.805, 4.0208", got.BetweenTesters.Value, got.Repeatability.Value)
	}
}

// R 4.2.2: anova(lm(…)) and its quantiles, spread.csv, for unequal counts and
// several combinations as well.
func TestMeasureSpreadAgainstR(t *testing.T) {
	const tol = 1e-8
	tests := map[string][]Repeat{}
	for _, r := range readRecords(t, "spread_tests.csv") {
		set, time := r.cell["set"], Seconds(r.number("time"))
		if set == "rails" { // not times: taken as they are
			time = Seconds(math.Exp(float64(time)))
		}
		tests[set] = append(tests[set], Repeat{r.cell["combination"], r.cell["tester"], time})
	}
	for _, r := range readRecords(t, "spread.csv") {
		set := r.cell["set"]
		spread, err := MeasureSpread(tests[set], r.number("confidence"))
		if err != nil {
			t.Fatal(err)
		}
		got, ok := map[string]Statistic{
			"repeatability": spread.Repeatability, "between_testers": spread.BetweenTesters,
			"reproducibility": spread.Reproducibility,
		}[r.cell["what"]]
		if !ok {
			t.Fatalf("%v", r.cell)
		}
		if !near(got.Value, r.number("value"), tol) || !near(got.Low, r.number("low"), tol) ||
			!near(got.High, r.number("high"), tol) {
			t.Errorf("%v: %.12g, %.12g to %.12g", r.cell, got.Value, got.Low, got.High)
		}
		if got.N != len(tests[set]) || got.Events != len(tests[set]) {
			t.Errorf("%v: %+v", r.cell, got)
		}
	}
}

// R 4.2.2, nlme 3.1-162: lme by REML on the same tests, spread_reml.csv. For unequal
// counts that is another estimate of the same two spreads; on these tests the two
// are within 5 % of each other.
func TestMeasureSpreadIsNearREML(t *testing.T) {
	const tol = 0.05
	tests := map[string][]Repeat{}
	for _, r := range readRecords(t, "spread_tests.csv") {
		if r.cell["set"] == "bench" {
			tests["bench"] = append(tests["bench"], Repeat{r.cell["combination"], r.cell["tester"],
				Seconds(r.number("time"))})
		}
	}
	for _, line := range demoLines(t, "tests.csv") {
		at := math.Inf(1)
		if line["outcome"] != "none" {
			at = demoNumber(t, line["seconds"])
		}
		combination := strings.Join([]string{line["product"], line["instrument"], line["syringe"], line["pull_ml"]},
			", ")
		tests["demo"] = append(tests["demo"], Repeat{combination, line["member"], Seconds(at)})
	}
	records := readRecords(t, "spread_reml.csv")
	if len(records) != 2 {
		t.Fatalf("%d sets", len(records))
	}
	for _, r := range records {
		got, err := MeasureSpread(tests[r.cell["set"]], 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if !near(got.Repeatability.Value, r.number("repeatability"), tol) ||
			!near(got.BetweenTesters.Value, r.number("between_testers"), tol) ||
			got.Repeatability.Events != int(r.number("tests")) {
			t.Errorf("%v: %.4f within, %.4f between, %d tests", r.cell, got.Repeatability.Value,
				got.BetweenTesters.Value, got.Repeatability.Events)
		}
	}
}

// Known spreads, drawn with a fixed seed: the estimates must find them again, and
// about as many 90 % limits must miss the truth as they say.
func TestMeasureSpreadFindsKnownSpreads(t *testing.T) {
	const hand, rest, rounds = 0.15, 0.10, 400
	random := rand.New(rand.NewPCG(5725, 2))
	var sumHand, sumRest float64
	missed := map[string]int{}
	for range rounds {
		var tests []Repeat
		for c := range 6 {
			for p := range 4 {
				centre := float64(c) + hand*random.NormFloat64()
				for range 2 + (c+p)%3 {
					tests = append(tests, Repeat{string(rune('A' + c)), string(rune('a' + p)),
						Seconds(math.Exp(centre + rest*random.NormFloat64()))})
				}
			}
		}
		got, err := MeasureSpread(tests, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		sumHand += got.BetweenTesters.Value * got.BetweenTesters.Value
		sumRest += got.Repeatability.Value * got.Repeatability.Value
		for what, c := range map[string]struct {
			s     Statistic
			truth float64
		}{"hand": {got.BetweenTesters, hand}, "rest": {got.Repeatability, rest},
			"both": {got.Reproducibility, math.Hypot(hand, rest)}} {
			if c.truth < c.s.Low || c.truth > c.s.High {
				missed[what]++
			}
		}
	}
	// the variances are unbiased; their means over 400 rounds scatter by 1.5 and 1 %
	if !near(sumRest/rounds, rest*rest, 0.04) || !near(sumHand/rounds, hand*hand, 0.06) {
		t.Errorf("mean variances %g and %g, want %g and %g", sumRest/rounds, sumHand/rounds, rest*rest, hand*hand)
	}
	for what, n := range missed { // 40 expected, ± 6 standard deviation
		if n < 18 || n > 62 {
			t.Errorf("%s: the limits missed %d of %d times, want about 40", what, n, rounds)
		}
	}
}

func TestSpreadIgnoresOrderScaleAndNames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var tests, other []Repeat
		for c := range 3 {
			scale := math.Exp(rapid.Float64Range(-5, 5).Draw(t, "ln scale")) // minutes for seconds, a slower gel
			for p := range 3 {
				for range rapid.IntRange(1, 4).Draw(t, "n") + 1 - min(p, 1) { // the first tester always repeats
					time := math.Exp(rapid.Float64Range(-1, 1).Draw(t, "ln time"))
					tests = append(tests, Repeat{string(rune('A' + c)), string(rune('a' + p)), Seconds(time)})
					other = append(other, Repeat{string(rune('Z' - c)), string(rune('z' - p)), Seconds(scale * time)})
				}
			}
		}
		want, err := MeasureSpread(tests, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		got, err := MeasureSpread(other, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		// sums of numbers around 1 in another order: their last digits differ
		if !near(got.Repeatability.Value, want.Repeatability.Value, 1e-9) &&
			math.Abs(got.Repeatability.Value-want.Repeatability.Value) > 1e-12 ||
			math.Abs(got.BetweenTesters.Value-want.BetweenTesters.Value) > 1e-7 {
			t.Errorf("%+v, want %+v", got, want)
		}
		for i, j := 0, len(tests)-1; i < j; i, j = i+1, j-1 {
			tests[i], tests[j] = tests[j], tests[i]
		}
		back, err := MeasureSpread(tests, 0.9)
		if err != nil || back.Repeatability.Value != want.Repeatability.Value ||
			back.Reproducibility.High != want.Reproducibility.High {
			t.Errorf("in the other order: %+v, want %+v", back, want)
		}
	})
}

func TestSpreadCountsWhatItLeavesOut(t *testing.T) {
	tests := append(asTimes("x", [][]float64{{0, 0.1}, {0.2, 0.3, 0.25}}),
		Repeat{"x", "a", Seconds(math.Inf(1))}, Repeat{"y", "b", Seconds(math.Inf(1))}, Repeat{"x", "b", 0})
	got, err := MeasureSpread(tests, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := MeasureSpread(tests[:5], 0.9)
	if err != nil {
		t.Fatal(err)
	}
	if got.None != 2 || got.AtOnce != 1 || got.Repeats != 3 || got.RepeatedCombinations != 1 ||
		got.Repeatability.N != 8 || got.Repeatability.Events != 5 ||
		got.Repeatability.Value != plain.Repeatability.Value {
		t.Errorf("%+v", got)
	}
}

func TestSpreadWithoutASecondTesterIsOpenUpwards(t *testing.T) {
	got, err := MeasureSpread(asTimes("x", [][]float64{{0, 0.1, 0.3}}), 0.9)
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsInf(got.BetweenTesters.High, 1) || !math.IsInf(got.Reproducibility.High, 1) ||
		got.BetweenTesters.Value != 0 ||
		got.Reproducibility.Value != got.Repeatability.Value || math.IsInf(got.Repeatability.High, 1) {
		t.Errorf("%+v", got)
	}
}

// Testers whose means agree better than their own repeats: their hands add
// nothing, and what is left is repeatability.
func TestSpreadOfHandsIsNeverNegative(t *testing.T) {
	for scene, c := range map[string]struct {
		testers [][]float64
		open    bool
	}{
		"a little better":    {[][]float64{{0, 1}, {1.6, 0}, {0.3, 0.8}}, false},
		"to the last digit":  {[][]float64{{0, 1}, {1, 0}, {0.2, 0.8}}, true},
		"without any spread": {[][]float64{{1, 1}, {1, 1}}, true},
	} {
		got, err := MeasureSpread(asTimes("x", c.testers), 0.9)
		if err != nil {
			t.Fatal(err)
		}
		hand := got.BetweenTesters
		if hand.Value != 0 || hand.Low != 0 || !(hand.High > 0) || math.IsInf(hand.High, 1) != c.open {
			t.Errorf("%s, between testers: %+v", scene, hand)
		}
		r, both := got.Repeatability, got.Reproducibility
		if both.Value != r.Value || both.Low != r.Low || both.High != r.High {
			t.Errorf("%s: repeatability %+v, reproducibility %+v", scene, r, both)
		}
	}
}

func TestSpreadCountsRepeatsAndTheirCombinations(t *testing.T) {
	build := func(combinations, perTester int) []Repeat {
		var tests []Repeat
		for c := range combinations {
			for i := range perTester {
				tests = append(tests, Repeat{string(rune('A' + c)), "p", Seconds(1 + float64(i))})
			}
		}
		return tests
	}
	for _, c := range []struct {
		combinations, perTester, repeats int
	}{{8, 5, 32}, {8, 4, 24}, {7, 6, 35}, {10, 4, 30}} {
		got, err := MeasureSpread(build(c.combinations, c.perTester), 0.9)
		if err != nil || got.Repeats != c.repeats || got.RepeatedCombinations != c.combinations {
			t.Errorf("%d tests on each of %d: %d repeats on %d, %v", c.perTester, c.combinations, got.Repeats,
				got.RepeatedCombinations, err)
		}
	}
}

func TestMeasureSpreadRefuses(t *testing.T) {
	for _, tests := range [][]Repeat{nil, {{"x", "a", 1}}, {{"x", "a", 1}, {"x", "b", 2}, {"y", "a", 3}},
		{{"x", "a", 1}, {"x", "a", Seconds(math.Inf(1))}}} {
		if got, err := MeasureSpread(tests, 0.9); !errors.Is(err, ErrTooFewRepeats) {
			t.Errorf("%v: %+v, %v; want ErrTooFewRepeats", tests, got, err)
		}
	}
	var outside *RangeError
	for _, time := range []float64{-1, math.NaN(), math.Inf(-1)} {
		if _, err := MeasureSpread([]Repeat{{"x", "a", 1}, {"x", "a", Seconds(time)}}, 0.9); !errors.As(err, &outside) {
			t.Errorf("time %g: %v; want a *RangeError", time, err)
		}
	}
	if _, err := MeasureSpread(asTimes("x", [][]float64{{0, 1}}), 1); !errors.As(err, &outside) {
		t.Errorf("confidence 1: %v; want a *RangeError", err)
	}
}

func FuzzMeasureSpread(f *testing.F) {
	f.Add([]byte{0, 10, 0, 12, 1, 9, 1, 13, 64, 200, 64, 210}, 0.9)
	f.Fuzz(func(t *testing.T, data []byte, confidence float64) {
		var tests []Repeat
		for i := 0; i+1 < len(data); i += 2 { // two bytes: who and what, how long
			tests = append(tests, Repeat{string(rune('A' + data[i]>>4)), string(rune('a' + data[i]&15)),
				Seconds(data[i+1]) / 8})
		}
		got, err := MeasureSpread(tests, confidence)
		if err != nil {
			return
		}
		for _, s := range []Statistic{got.Repeatability, got.BetweenTesters, got.Reproducibility} {
			if !(0 <= s.Low && s.Low <= s.Value && s.Value <= s.High) || math.IsInf(s.Value, 0) {
				t.Errorf("%+v", s)
			}
		}
	})
}

// ISO 5725-6:1994, 4.1 (from memory): two results differ by more than 2.8 standard
// deviations in 5 of 100 cases; 1.96 √2 = 2.772 and 1.645 √2 = 2.326 by hand from
// a printed normal table.
func TestTwoTestsLieTheLimitApart(t *testing.T) {
	for _, c := range []struct{ sd, probability, ln float64 }{{1, 0.95, 2.772}, {0.25, 0.95, 0.693}, {1, 0.9, 2.326},
		{0.2, 0.9, 0.4652}, {0, 0.9, 0}} {
		got, err := TimesApart(c.sd, c.probability)
		const digit = 0.6e-3 // the table's quantiles have four digits
		if err != nil || math.Abs(math.Log(got)-c.ln) > digit {
			t.Errorf("sd %g, %g: ln %.4f, %v; want %g", c.sd, c.probability, math.Log(got), err, c.ln)
		}
	}
	if got, err := TimesApart(math.Inf(1), 0.9); err != nil || !math.IsInf(got, 1) {
		t.Errorf("no limit: %g, %v", got, err)
	}
	var outside *RangeError
	for _, c := range [][2]float64{{-1, 0.9}, {math.NaN(), 0.9}, {1, 0.2}, {1, 1}, {1, math.NaN()}} {
		if got, err := TimesApart(c[0], c[1]); !errors.As(err, &outside) {
			t.Errorf("%v: %g, %v; want a *RangeError", c, got, err)
		}
	}
}

// Two routes: of pairs drawn with that spread, as many as said lie within the factor.
func TestTimesApartOfDrawnPairs(t *testing.T) {
	random := rand.New(rand.NewPCG(5725, 6))
	const pairs, sd = 40_000, 0.23
	factor, err := TimesApart(sd, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	within := 0
	for range pairs {
		if math.Abs(sd*(random.NormFloat64()-random.NormFloat64())) <= math.Log(factor) {
			within++
		}
	}
	if share := float64(within) / pairs; math.Abs(share-0.9) > 0.006 { // four standard errors of 40 000
		t.Errorf("%.4f of pairs lie within %.3f times, want 0.9", share, factor)
	}
}
