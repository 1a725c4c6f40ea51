// Package logline reads what somebody types to log a bench test: one line, one field of a form, or the results of a
// session. It knows words and the nouns of the trade, no store and no clock: the list and today's date are handed in.
//
// Nothing that is typed is dropped or altered. Every number is part of a value or of the note, or the line asks what
// it is.
package logline

import (
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Outcome is how one test ended.
type Outcome struct {
	Flashback bool
	Seconds   float64 // when flashback came; 0 for none
	WatchedS  float64 // how long it was watched; 0 if the line does not say
	Typed     string  // the seconds as typed
}

// Line is a test as it was read. What the line does not say is zero, for the caller to fill in.
type Line struct {
	Setup    question.Reading  // gel, needle or cannula, syringe
	Picks    []question.Choice // what the set-up could be, if a part is open
	Outcomes []Outcome         // one, or several if the line plainly lists them
	Film     quantity.Film     // if the time was read off a film
	Timing   *quantity.Timing
	PullML   float64
	Liquid   string // "whole milk", "water", "glycerol-water 40%", or as typed
	LiquidC  *float64
	Day      time.Time
	Note     string
	Link     string
	Lot      trade.Lot // as typed
	Asks     bool      // it is a question, which changes nothing
	Ask      *Question // what has to be answered before anything is stored, nil for nothing

	open    []Question // all that has to be answered, Ask first
	watched float64    // how long it was watched, s, whatever the outcome
}

// WatchedS is how long the test was watched, s; 0 if the line does not say.
func (l Line) WatchedS() float64 { return l.watched }

// reader is a line while it is read. What has been understood is blanked out of plain, so that nothing is read twice.
type reader struct {
	Line
	ix     *question.Index
	known  question.Stated
	of     *trade.Combination // of the test that the line changes; nil for a new test
	today  time.Time
	raw    string // as typed
	typed  string // the same with plain characters
	plain  []byte // lower case; what was understood is blanked out
	taken  []bool // by byte of plain
	vague  bool   // "about", "maybe": the result has to be confirmed
	watchS float64
	none   bool
	alike  int // how many equal tests the line is about, 0 if it does not say
}

// plainMarks replaces marks by the plain ones that they stand for.
var plainMarks = strings.NewReplacer("–", "-", "—", " - ", "−", "-", "’", "'", "‘", "'", "±", "+/-", "≈", "~",
	"µ", "u", "μ", "u", "\t", " ",
	"\u00a0", " ", "\u202f", " ", "“", `"`, "”", `"`, "\r", " ", "…", "...", "→", " to ", "＜", "<", "=>", " = ",
	"->", " = ", "½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅜", " 3/8", "⅝", " 5/8")

var logWord = regexp.MustCompile(`(?i)^log(?:ging|ged)?\s+`)

var middleDot = regexp.MustCompile(`(\d)·(\d)`) // a decimal point on some keyboards

func newReader(text string, ix *question.Index, today time.Time) *reader {
	typed := strings.TrimSpace(middleDot.ReplaceAllString(plainMarks.Replace(text), "$1.$2"))
	typed = logWord.ReplaceAllString(typed, "")
	r := &reader{raw: text, ix: ix, today: today, typed: typed, plain: []byte(typed), taken: make([]bool, len(typed))}
	for i, c := range r.plain {
		if c >= 'A' && c <= 'Z' {
			r.plain[i] = c | 0x20
		}
	}
	return r
}

// ReadLog reads one line.
func ReadLog(text string, ix *question.Index, today time.Time) Line {
	return ReadLogOf(question.Stated{}, text, ix, today)
}

// ReadLogOf reads one line of which a part is already known.
func ReadLogOf(known question.Stated, text string, ix *question.Index, today time.Time) Line {
	r := newReader(text, ix, today)
	r.known = known
	return r.line()
}

func (r *reader) line() Line {
	r.Asks = strings.HasSuffix(r.typed, "?")
	if len(r.raw) > question.MaxBytes {
		r.ask(Question{Text: "That is too long for one line. Which test is it?"})
		return r.finished()
	}
	if strings.ContainsFunc(r.typed, func(c rune) bool { return c > unicode.MaxASCII && unicode.IsNumber(c) }) {
		r.ask(Question{Text: "Some figures cannot be read. Write them as 0 to 9."})
	}
	r.readRemarks()
	r.putInEnglish()
	r.readSpelled()
	r.readDays()
	r.readBench()
	r.readPulls()
	r.readAlike()
	r.readOutcome()
	r.readSetup()
	r.weigh()
	return r.finished()
}

func (r *reader) finished() Line { return r.Line.asking() }

func (r *reader) ask(q Question) { r.open = append(r.open, q) }

// asking is the line with the first of what is open as its question.
func (l Line) asking() Line {
	if l.Ask = nil; len(l.open) > 0 {
		l.Ask = &l.open[0]
	}
	return l
}

// take blanks out what has been understood, and returns it as typed.
func (r *reader) take(from, to int) string {
	for i := from; i < to; i++ {
		r.plain[i], r.taken[i] = ' ', true
	}
	if from < to {
		r.plain[from] = ','
	}
	return strings.TrimSpace(r.typed[from:to])
}

// left are the parts that have not been understood, as typed.
func (r *reader) left() (parts []string) {
	text := []byte(r.typed)
	for i, taken := range r.taken {
		if taken {
			text[i] = r.plain[i] // blank, or a comma
		}
	}
	for _, part := range strings.FieldsFunc(string(text), func(c rune) bool { return c == ',' || c == ';' }) {
		if part = strings.Trim(part, " ."); part != "" {
			parts = append(parts, part)
		}
	}
	return parts
}

// write replaces some words by others, with blanks behind if they are shorter.
func (r *reader) write(from, to int, text string) {
	text += strings.Repeat(" ", max(0, to-from-len(text)))
	r.typed = r.typed[:from] + text + r.typed[to:]
	r.plain = slices.Replace(r.plain, from, to, []byte(text)...)
	r.taken = slices.Replace(r.taken, from, to, make([]bool, len(text))...)
}

// putInEnglish translates liquids, ways of timing, days and words for "none" from other languages, unless they are
// part of the gel's name.
func (r *reader) putInEnglish() {
	for done := 0; ; {
		from, to, english := quantity.InEnglish(string(r.plain[done:]))
		if english == "" {
			return
		}
		from, to = from+done, to+done
		gel := r.ix.Read(r.typed).Product
		if done = to; strings.Contains(strings.ToLower(gel.Name+" "+strings.Join(gel.Aliases, " ")),
			string(r.plain[from:to])) {
			continue
		}
		r.write(from, to, english)
		done = from + max(len(english), to-from)
	}
}

// times are the seconds that were read.
func (r *reader) times() string {
	var times []string
	for _, o := range r.Outcomes {
		times = append(times, o.Typed)
	}
	return strings.Join(times, ", ")
}

// summary is what was read of the result, for a question.
func (r *reader) summary() string {
	switch {
	case r.none:
		return "I read " + noneText(r.watchS) + "; "
	case len(r.Outcomes) == 0:
		return ""
	}
	return "I read " + r.times() + " s; "
}
