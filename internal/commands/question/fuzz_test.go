package question

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"holdbench/internal/trade"
)

// slowest is far above what a reading takes, so that a busy machine does not
// fail the test, and far below what a runaway one would.
const slowest = 2 * time.Second

// checkReading demands what holds for every text whatever.
func checkReading(t *testing.T, ix *Index, text string) {
	t.Helper()
	start := time.Now()
	r := ix.Read(text)
	if took := time.Since(start); took > slowest {
		t.Errorf("took %v for %d bytes", took, len(text))
	}
	switch r.Outcome {
	case One:
		checkOne(t, ix, r)
	case Choose:
		if len(r.Choices) == 0 || len(r.Choices) > MaxChoices {
			t.Errorf("%d choices", len(r.Choices))
		}
	case Unclear:
		if len(r.Choices) != 0 {
			t.Errorf("unclear with %d choices", len(r.Choices))
		}
	default:
		t.Errorf("outcome %q", r.Outcome)
	}
	if r.Outcome != One && (r.Problem == "" || r.Hint == "" || !utf8.ValidString(r.Problem+r.Hint) ||
		strings.ContainsAny(r.Problem, "<>@`*")) {
		t.Errorf("problem %q, hint %q", r.Problem, r.Hint)
	}
}

// checkOne demands a product of the list and an instrument that could be.
func checkOne(t *testing.T, ix *Index, r Reading) {
	t.Helper()
	known := false
	for _, p := range ix.products {
		known = known || p.ID == r.Product.ID && p.Name == r.Product.Name
	}
	in := r.Instrument
	plausible := in.Gauge >= WidestGauge && in.Gauge <= FinestGauge && in.LengthMM >= shortestMM &&
		in.LengthMM <= longestMM
	if in.ID != 0 {
		plausible = false
		for _, have := range ix.instruments {
			plausible = plausible || have == in
		}
	}
	if !known || !plausible || r.Syringe.Name == "" || !(r.BySeconds >= 0 && r.BySeconds <= trade.LongestWatchS) ||
		!(r.PullML >= 0 && r.PullML <= trade.LargestPullML) {
		t.Errorf("answered %+v", r)
	}
}

func FuzzRead(f *testing.F) {
	ix := demoIndex()
	for _, path := range []string{"testdata/questions.jsonl", "testdata/breakers.jsonl"} {
		for _, q := range readAsked(f, path) {
			f.Add(q.Text)
		}
	}
	for _, text := range hostileTexts() {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) { checkReading(t, ix, text) })
}

// hostileTexts are texts that nobody means well with.
func hostileTexts() []string {
	big := 1 << 20
	return []string{
		"", " ", "\x00", "\xff\xfe", "\n\n\n", `"`, `"""`, "''", "'", "½", "1½½½", "½½\"", "/", "1/", "/1", "1/0",
		"0/0", "1:0", "1:", ":1",
		"30g13mm30g13mm30g13mm", "-", "--", "- - -", ".", "..5", "5..", "1.2.3.4", "1e", "1e+", "1e999 mm", "0x",
		"x", "xx", "x x x",
		strings.Repeat("a", big), strings.Repeat("orrick ", big/7), strings.Repeat("1/2 ",
			big/4), strings.Repeat(`"`, big), strings.Repeat("½", big/2),
		strings.Repeat("a", 4000), strings.Repeat("o ", 199), strings.Repeat("orrick mid ",
			190), strings.Repeat("27g ", 130), strings.Repeat("13 or ", 190),
		strings.Repeat("orrikc midd ", 190), strings.Repeat("tamslesotf", 40), strings.Repeat("1",
			4000), strings.Repeat("-1 ", 130), strings.Repeat("<@", 2000),
		strings.Repeat("not ", 390) + "orrick mid", strings.Repeat("hesk diluted 1:1 ",
			60), strings.Repeat("\u0301", 1999), strings.Repeat("😀", 900),
		"orrick mid 27g 13mm" + strings.Repeat("\u200b", 1000), "\u202eorrick mid 27g 13mm",
		"<@orrick mid 27g 13mm", "<:a:1", "@", "@ 27g", "www.", "://",
		"orrick mid 27g 13mm; rm -rf /", "%s%d%n orrick mid 27g 13mm", "{{orrick}} ${mid} 27g", "orrick mid 27g 13mm\u0000\u0001\u0002",
	}
}

func TestHostileTextsAreReadInBoundedTime(t *testing.T) {
	small, big := demoIndex(), bigIndex()
	for _, text := range hostileTexts() {
		checkReading(t, small, text)
		checkReading(t, big, text)
	}
}

func TestALongTextIsRefusedNotCutShort(t *testing.T) {
	ix := demoIndex()
	story := "orrick mid 27g 13mm " + strings.Repeat("and so on ", 400)
	if r := ix.Read(story); r.Outcome != Unclear || !strings.Contains(r.Problem, "too long") {
		t.Errorf("%s: %s", r.Outcome, r.Problem)
	}
}
