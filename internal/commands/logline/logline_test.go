package logline

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// logged is one line as people type it, with what a practitioner would have stored:
// store, ask (one question first), asks (it is a question), choose (the gel or the
// needle is open), ask_or (either is right, but what is read must be this).
type logged struct {
	Text       string  `json:"text"`
	Expect     string  `json:"expect"`
	Product    string  `json:"product"`
	Instrument string  `json:"instrument"`
	Syringe    string  `json:"syringe"`
	Seconds    float64 `json:"seconds"`
	NoneIn     float64 `json:"none_in"`
	WatchedS   float64 `json:"watched_s"`
	PullML     float64 `json:"pull_ml"`
	Liquid     string  `json:"liquid"`
	LiquidC    float64 `json:"liquid_c"`
	FPS        float64 `json:"fps"`
	Timing     string  `json:"timing"`
	Day        string  `json:"day"`
	Note       string  `json:"note"`
	Link       string  `json:"link"`
	Lot        string  `json:"lot"`
	Expires    string  `json:"expires"`
}

var lineFiles = []string{"lines.jsonl", "strangers.jsonl", "thumbs.jsonl", "rounds.jsonl", "tongues.jsonl", "mixed.jsonl", "busy.jsonl", "later.jsonl",
	"company.jsonl"}

func readLines(t testing.TB, name string) (all []logged) {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var l logged
		if err := json.Unmarshal(lines.Bytes(), &l); err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
	return all
}

// verdict is what became of a line.
func verdict(l Line) string {
	switch {
	case l.Asks:
		return "asks"
	case l.Setup.Outcome != question.One:
		return "choose"
	case l.Ask != nil:
		return "ask"
	}
	return "store"
}

// differences says what was read otherwise than wanted. What was not wanted must not
// have been read: a pull that nobody typed is as wrong as one that was left out.
func (want logged) differences(l Line) (bad []string) {
	check := func(name string, got, wanted any) {
		if got != wanted {
			bad = append(bad, fmt.Sprintf("%s %v, want %v", name, got, wanted))
		}
	}
	if len(l.Outcomes) != 1 {
		return []string{fmt.Sprintf("%d outcomes", len(l.Outcomes))}
	}
	o, day, timing, celsius, fps := l.Outcomes[0], "", "", 0.0, 0.0
	if !l.Day.IsZero() {
		day = l.Day.Format(time.DateOnly)
	}
	if l.Timing != nil && l.Timing.Stopwatch {
		timing = "stopwatch"
	} else if l.Timing != nil {
		fps = l.Timing.FPS
	}
	if l.LiquidC != nil {
		celsius = *l.LiquidC
	}
	check("flashback", o.Flashback, want.NoneIn == 0)
	check("seconds", o.Seconds, want.Seconds)
	check("watched", o.WatchedS, max(want.NoneIn, want.WatchedS))
	check("pull", l.PullML, want.PullML)
	check("liquid", l.Liquid, want.Liquid)
	check("temperature", celsius, want.LiquidC)
	check("frames", fps, want.FPS)
	check("timing", timing, want.Timing)
	check("day", day, want.Day)
	check("note", l.Note, want.Note)
	check("link", l.Link, want.Link)
	check("lot", l.Lot, trade.Lot{Number: want.Lot, Expires: want.Expires})
	if want.Product != "" {
		check("product", l.Setup.Product.Name, want.Product)
	}
	if want.Instrument != "" {
		check("instrument", l.Setup.Instrument.Name(), want.Instrument)
	}
	if want.Syringe != "" || l.Setup.Syringe.FixedNeedle {
		check("syringe", l.Setup.Syringe.Name, want.Syringe)
	}
	return bad
}

func TestLogLinesAreStoredAsTypedOrAskedAbout(t *testing.T) {
	ix := demoIndex()
	for _, name := range lineFiles {
		lines, wrong, odd := readLines(t, name), 0, 0
		for _, want := range lines {
			l := ReadLog(want.Text, ix, demoDay)
			got := verdict(l)
			if ready(l) {
				accounted(t, want.Text, l)
				typed(t, want.Text, l)
			}
			var bad []string
			if got == "store" && (want.Expect == "store" || want.Expect == "ask_or") {
				bad = want.differences(l)
			}
			switch {
			case got == "store" && (len(bad) > 0 || want.Expect != "store" && want.Expect != "ask_or"):
				wrong++
				t.Errorf("STORED WRONG %q: %v %+v", want.Text, bad, l.Outcomes)
			case got != want.Expect && want.Expect != "ask_or":
				odd++
				t.Errorf("%q: %s, want %s; asks %+v; %s", want.Text, got, want.Expect, l.Ask, l.Setup.Problem)
			}
		}
		t.Logf("%s: %d lines, %d stored wrong, %d otherwise than expected", name, len(lines), wrong, odd)
	}
}

func FuzzNoNumberInTheLineIsUnaccountedFor(f *testing.F) {
	for _, name := range lineFiles {
		for _, line := range readLines(f, name) {
			f.Add(line.Text)
		}
	}
	ix := demoIndex()
	f.Fuzz(func(t *testing.T, text string) {
		l := ReadLog(text, ix, demoDay)
		if ready(l) {
			accounted(t, text, l)
			typed(t, text, l)
		}
	})
}

// accounted fails the test if a line that would be stored has a number in it that
// is none of its values, in the unit it was typed in.
func accounted(t *testing.T, text string, l Line) {
	t.Helper()
	in := l.Setup.Instrument
	values := []float64{float64(in.Gauge), in.LengthMM, in.LengthMM / 10, l.Setup.Syringe.VolumeML, l.PullML,
		l.PullML * 1000,
		float64(l.Day.Day()), float64(l.Day.Month()), float64(l.Day.Year()), float64(l.Day.Year() % 100),
		demoDay.Sub(l.Day).Hours() / 24, demoDay.Sub(l.Day).Hours() / 168}
	if l.LiquidC != nil {
		values = append(values, *l.LiquidC)
	}
	if l.Timing != nil {
		values = append(values, l.Timing.FPS)
	}
	for _, o := range l.Outcomes {
		for _, v := range []float64{o.Seconds, o.WatchedS} {
			values = append(values, v, 1000*v, v/60, math.Floor(v/60), v-60*math.Floor(v/60))
		}
	}
	said := fmt.Sprint(l.Setup.Product.Name, l.Setup.Product.Aliases, l.Liquid, " ", l.Note, " ", l.Link, " ",
		l.Lot, " ", l.Film.Marks)
	for _, n := range anyNumber.FindAllString(said, -1) {
		values = append(values, decimal(n))
	}
	plain := middleDot.ReplaceAllString(plainMarks.Replace(text), "$1.$2")
	for _, m := range anyNumber.FindAllStringIndex(plain, -1) {
		n := plain[m[0]:m[1]]
		if m[0] > 0 && plain[m[0]-1] == '.' || m[0] > 0 && plain[m[0]-1] == ',' {
			n = "0." + n
		}
		fraction := slices.ContainsFunc(inches.FindAllStringIndex(plain, -1),
			func(s []int) bool { return s[0] <= m[0] && m[1] <= s[1] })
		if question.IsDiameterOf(decimal(n), in.Gauge) && strings.HasPrefix(strings.TrimLeft(plain[m[1]:], " "), "x") {
			continue // 0.3x13
		}
		near := func(v float64) bool {
			return math.Abs(v-decimal(n)) < 0.006 || math.Abs(v-decimal(plain[m[0]:m[1]])) < 0.006
		}
		if day, month, ok := strings.Cut(n, "."); ok && decimal(day) == float64(l.Day.Day()) &&
			decimal(month) == float64(l.Day.Month()) {
			continue // 27.11.
		}
		if !fraction && !slices.ContainsFunc(values, near) && math.Abs(decimal(n)*25.4-in.LengthMM) > 0.5 {
			t.Errorf("%q: nothing was made of %s: %+v", text, n, l)
		}
	}
}

// ready reports whether a line can be stored as it stands.
func ready(l Line) bool { return verdict(l) == "store" && len(l.Outcomes) > 0 }

// inWords are the words that stand for numbers; lines with them are not held against
// their digits.
var inWords = regexp.MustCompile(`half|quarter|min|point|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twel|teen|ty|a m`)

var afterComma = regexp.MustCompile(`,(\d+(?:[.,]\d+)?)`) // a comma that may part values

// typed fails the test if a line that would be stored has a value that is no number
// of the text: .9 is no 9, and 1:12 no 12.
func typed(t *testing.T, text string, l Line) {
	t.Helper()
	if l.Film.Marks != "" || inWords.MatchString(strings.ToLower(text)) {
		return
	}
	var numbers []float64
	for _, pattern := range []*regexp.Regexp{decimalIn, afterComma} {
		for _, m := range pattern.FindAllStringSubmatch(middleDot.ReplaceAllString(plainMarks.Replace(text), "$1.$2"),
			-1) {
			numbers = append(numbers, decimal(m[len(m)-1]))
		}
	}
	check := func(name string, v float64) {
		is := func(n float64) bool { return math.Abs(n-v) < 1e-6 || name != "frames" && math.Abs(n/1000-v) < 1e-6 }
		clock := func(n float64) bool { // minutes, and seconds of the same text
			return slices.ContainsFunc(numbers, func(s float64) bool { return name == "seconds" && s < 60 && is(60*n+s) }) || name == "seconds" && is(60*n)
		}
		if v != 0 && !slices.ContainsFunc(numbers, is) && !slices.ContainsFunc(numbers, clock) {
			t.Errorf("%q: %s %v was not typed: %+v", text, name, v, l)
		}
	}
	check("pull", l.PullML)
	for _, o := range l.Outcomes {
		check("seconds", o.Seconds)
		check("seconds", o.WatchedS)
	}
	if l.LiquidC != nil {
		check("temperature", *l.LiquidC)
	}
	if l.Timing != nil {
		check("frames", l.Timing.FPS)
	}
	for _, n := range decimalIn.FindAllString(l.Liquid, -1) {
		check("strength", decimal(n))
	}
}

func decimal(n string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(n, ",", ".", 1), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
