package logline

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

var (
	bareNumber = regexp.MustCompile(`^(?:\d+(?:[.,]\d+)?|[.,]\d+)$`)
	anyNumber  = regexp.MustCompile(`\d+(?:[.,]\d+)?|(?:^|[\s,])[.,]\d+`)
	diameter   = regexp.MustCompile(`^\s*(?:mm\s*)?[x×]`)
	inches     = regexp.MustCompile(`(?:\d\s*[- ]?\s*)?\d\s*/\s*\d{1,2}`)
	setupWord  = regexp.MustCompile(`^(?:needles?|cann?ulas?|micro\w*|syringes?|wall|(?:ultra|extra)?-?thin|regular` +
		`|blunt|sharp|luer|lock|slip|fixed|insulin|supplied|gauge|half|quarter|inch|cm|mm|g|ml|cc|log)$`)
	behindAt = regexp.MustCompile(`@\s*(` + quantity.Decimal + `)`) // "none 45 s @0.2"
	befell   = regexp.MustCompile(`^(?:was|were|is|wasn'?t|had|got|kept|came|slipped|looked|felt|seemed|leak|block|clog` +
		`|bent|broke)`)
	leadingWord = regexp.MustCompile(`^[a-z-]+[\s,.;]*`)
)

// readSetup reads the rest of the line as gel, needle or cannula, and syringe, and finds a place for what that does not
// explain.
func (r *reader) readSetup() {
	r.Setup = r.setupSaid()
	var numbers, words []string
	for _, left := range r.Setup.Rest {
		if digit.MatchString(left) {
			numbers = append(numbers, left)
		} else {
			words = append(words, left)
		}
	}
	switch m := behindAt.FindSubmatchIndex(r.plain); {
	case r.Setup.PullML == 0:
	case r.PullML == 0 && m != nil && number(group(r.typed, m, 1)) == r.Setup.PullML:
		r.PullML = r.Setup.PullML
		r.take(m[0], m[1])
	default:
		r.ask(Question{Text: "Was the pull " + trade.Number(r.Setup.PullML) + " mL?", kind: askPull,
			Answers: offered(trade.Number(r.Setup.PullML) + " mL")})
	}
	if r.Setup.BySeconds > 0 {
		numbers = append(numbers, trade.Number(r.Setup.BySeconds))
	}
	r.placeNumbers(numbers)
	r.placeWords(words)
	r.checkSyringe()
	r.accountForAll(numbers)
}

// placeNumbers reads numbers alone as the seconds if there is no result yet, and asks about all others.
func (r *reader) placeNumbers(numbers []string) {
	numbers, numbersAt := r.partAt(numbers)
	for _, n := range numbersAt {
		r.askWhat(n)
	}
	known := r.none || len(r.Outcomes) > 0 || r.asksResult()
	other := func(n string) bool { return !bareNumber.MatchString(n) || r.hasOtherUnit(n) }
	seconds := !known && !slices.ContainsFunc(numbers, other)
	for _, n := range numbers {
		if seconds {
			r.addFlashback(n)
		} else {
			r.askWhat(n)
		}
	}
}

// partAt separates the numbers behind an @ from the others if there are both: "7.1 @37" has one result.
func (r *reader) partAt(numbers []string) (others, at []string) {
	for _, n := range numbers {
		if i := strings.LastIndex(string(r.plain), n); i > 0 && r.plain[i-1] == '@' {
			at = append(at, n)
		} else {
			others = append(others, n)
		}
	}
	if len(others) == 0 {
		return numbers, nil
	}
	return others, at
}

// unitSoon is what follows a number that is no seconds: a letter or mark without a blank, or another unit.
var unitSoon = regexp.MustCompile(`^(?:[a-z"'/:%]|\s*(?:ms|h|hrs?|hours?|kpa|psi|bar|f|units?|x|times|ml|mm|of` +
	`|pm|am|st|nd|rd|th|grams?|frames?|years?|yo)\b)`)

// hasOtherUnit reports whether n is no seconds by what follows it, or may be the decimals behind a point.
func (r *reader) hasOtherUnit(n string) bool {
	i := strings.LastIndex(string(r.plain), n)
	return i >= 0 && unitSoon.Match(r.plain[i+len(n):]) || i > 0 && r.plain[i-1] == '.'
}

func (r *reader) asksResult() bool {
	return slices.ContainsFunc(r.open, func(q Question) bool { return q.kind == askResult || q.kind == askFilm })
}

// askWhat asks what a number is.
func (r *reader) askWhat(n string) {
	q := Question{Text: r.summary() + "what is " + n + "?", kind: askWhat, number: n}
	if v, err := quantity.Number(n); err == nil && v > 0 && v <= trade.LongestWatchS {
		q.Answers = append(q.Answers, Answer{n + " s until flashback", n + " s"})
		if v < 0.5 && canBePull(v) {
			q.Answers = append(q.Answers, Answer{"pull " + n + " mL", n + " ml"})
		} else if v <= warmest {
			q.Answers = append(q.Answers, Answer{n + " °C", n + " c"})
		}
	}
	q.Answers = append(q.Answers, Answer{"only a note", "note"})
	r.ask(q)
}

// placeWords makes the remark at the end of the line its note. It asks about other words that were not understood.
func (r *reader) placeWords(words []string) {
	from := r.tail()
	var rest []string
	tail := strings.Fields(strings.ToLower(r.typed[from:]))
	for _, w := range words {
		if !slices.ContainsFunc(tail, func(t string) bool { return strings.Contains(t, strings.ToLower(w)) }) {
			rest = append(rest, w)
		}
	}
	if slices.ContainsFunc(tail, turns) {
		rest = words
	} else if len(rest) < len(words) {
		r.addNote(strings.TrimRight(r.typed[from:], "?!. "))
	}
	if len(r.Outcomes) > 1 && slices.ContainsFunc(rest, takesBack) {
		r.askWhichTime()
	} else if len(rest) > 0 && r.Setup.Outcome == question.One {
		r.ask(Question{Text: r.summary() + "what is “" + strings.Join(rest, " ") + "”?", kind: askWords,
			number:  strings.Join(rest, " "),
			Answers: []Answer{{"only a note", "note"}, {"the liquid", "the liquid"}}})
	}
}

// tail is where the remark at the end of the line begins: behind the last value, the last number, the gel and the
// words of the combination that follow those.
func (r *reader) tail() int {
	gel := strings.Fields(strings.ToLower(r.Setup.Product.Name + " " + strings.Join(r.Setup.Product.Aliases, " ")))
	from, beside := len(r.plain), false
	for from > 0 && !beside {
		end := from
		for end > 0 && !letter(r.plain[end-1]) && !r.taken[end-1] && !isDigit(r.plain[end-1]) {
			end--
		}
		start := end
		for start > 0 && letter(r.plain[start-1]) {
			start--
		}
		beside = start > 0 && isDigit(r.plain[start-1]) || slices.Contains(gel, string(r.plain[start:end]))
		if start == end && !beside {
			return from
		}
		if !beside {
			from = start
		}
	}
	for {
		m := leadingWord.FindIndex(r.plain[from:])
		if m == nil || befell.Match(r.plain[from+m[1]:]) ||
			!setupWord.Match(bytes.TrimRight(r.plain[from:from+m[1]], " ,.;")) {
			return from
		}
		from += m[1]
	}
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// turns reports whether a word may turn the line round, put it on another day, or is a number. With such a word the
// rest of a line is asked about before it is a note.
func turns(word string) bool {
	word = bare(word)
	n, _ := quantity.Dictated(word)
	return word == "point" || n > 1 || slices.Contains(turning, word)
}

// takesBack reports whether a word between two times takes one back: "0.9, scrap that, 1.9", "14 or 15".
func takesBack(word string) bool { return bare(word) == "no" || turns(word) }

// askWhichTime asks which of the times it was.
func (r *reader) askWhichTime() {
	var times []string
	for _, o := range r.Outcomes {
		times = append(times, o.Typed+" s")
	}
	r.askResult("I read "+r.times()+" s. Which was it?", times...)
}

func bare(word string) string { return strings.Trim(word, ",.;:!()") }

var turning = words("turning")

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 0x80 || c == '\'' }

// checkSyringe asks about a syringe in the line that the reading does not have.
func (r *reader) checkSyringe() {
	if r.Setup.Outcome != question.One || r.Setup.Syringe.FixedNeedle {
		return
	}
	var said string
	if m := luer.FindIndex(r.plain); m != nil {
		said = string(r.plain[m[0]:m[1]])
	}
	if m := volume.FindIndex(r.plain); m != nil {
		said = strings.Trim(string(r.plain[m[0]:m[1]]), " ,;(")
	}
	if said != "" {
		r.ask(syringeQuestion(said))
	}
}

func syringeQuestion(said string) Question {
	fixed := "fixed-needle 1 mL"
	if v, err := quantity.Volume(said); err == nil {
		fixed = trade.FixedNeedle(v).Name
	}
	return Question{Text: "Is the " + said + " syringe the one the gel came in?", kind: askSyringe, number: said,
		Answers: []Answer{{"yes, supplied", "yes"}, {fixed, fixed}}}
}

// accountForAll asks about every number that is left in the line and is no part of what was read.
func (r *reader) accountForAll(asked []string) {
	if r.Setup.Outcome != question.One {
		return
	}
	text := string(r.plain)
	names := r.Setup.Product.Name + " " + strings.Join(r.Setup.Product.Aliases, " ") + " " + r.Setup.Syringe.Name +
		" " + trade.Number(r.Setup.Syringe.VolumeML)
	known := anyNumber.FindAllString(names, -1)
	known = append(known, strconv.Itoa(r.Setup.Instrument.Gauge))
	for _, n := range asked {
		known = append(known, anyNumber.FindAllString(n, -1)...)
	}
	for _, o := range r.Outcomes {
		known = append(known, o.Typed)
	}
	size := inches.FindAllStringIndex(text, -1)
	for _, m := range anyNumber.FindAllStringIndex(text, -1) {
		n := strings.TrimLeft(text[m[0]:m[1]], " ")
		v, err := quantity.Number(n)
		inSize := slices.ContainsFunc(size, func(s []int) bool { return s[0] <= m[0] && m[1] <= s[1] })
		if err == nil && (inSize || slices.Contains(known, n) || slices.Contains(known, strings.TrimLeft(n, "0")) ||
			r.isLength(v) || diameter.MatchString(text[m[1]:]) && question.IsDiameterOf(v, r.Setup.Instrument.Gauge) ||
			r.Setup.Syringe.FixedNeedle && v == r.Setup.Syringe.VolumeML) {
			continue
		}
		r.askWhat(n)
	}
}

// isLength reports whether v is the length of the needle in mm, cm or inches.
func (r *reader) isLength(v float64) bool {
	mm := r.Setup.Instrument.LengthMM
	near := func(a float64) bool { return a-mm <= 0.5 && mm-a <= 0.5 }
	return near(v) || near(v*10) || near(v*25.4)
}
