package logline

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/trade"
)

// byAnother is a note that says who made the test.
var byAnother = regexp.MustCompile(`(?i)(?:^|\b(?:tested|test|done|run|timed|pulled|held|measured|made|logged)\s+` +
	`(?:was\s+)?)by\s+([\pL'-]+)`)

var nobodyElse = words("nobody else")

// askWhose asks whether a test was made by somebody else.
func (r *reader) askWhose() {
	if m := byAnother.FindStringSubmatch(r.Note); m != nil && !slices.Contains(nobodyElse, strings.ToLower(m[1])) {
		r.ask(Question{Text: "A test counts as yours. Did you make it yourself?", kind: askYes,
			Answers: offered("yes")})
	}
}

// Shorter and longer times, s, have to be confirmed: bench tests take from a fraction of a second to a minute or two
// (practice).
const (
	soonest = 0.1
	latest  = 180
)

// noResult is a flashback that nobody timed, or a needle that let nothing through: neither is a none.
var noResult = regexp.MustCompile(`(?i)\b(?:instant|immediate|straight ?away|at once|block|clog|kink)`)

// weigh puts the outcomes together and asks about what is open or unlikely.
func (r *reader) weigh() {
	r.watched = r.watchS
	switch {
	case r.none && len(r.Outcomes) > 0:
		first := r.Outcomes[0].Typed
		r.Outcomes = nil
		r.askResult("Both none and "+first+" s are said. Which was it?", first+" s", noneText(r.watchS))
		r.watched = 0 // it was the none's
	case r.none:
		r.Outcomes = []Outcome{{WatchedS: r.watchS}}
		if r.watchS == 0 && !r.asksResult() {
			r.ask(Question{Text: "How long did you watch?", kind: askWatched, Answers: offered("30 s", "60 s")})
		}
	case len(r.Outcomes) > 1 && r.asksResult():
		r.Outcomes = nil
	case len(r.Outcomes) > 1:
		r.askSeveral()
	case len(r.Outcomes) == 0 && !r.asksResult() && r.of == nil:
		var offers []string
		if !noResult.MatchString(r.raw) {
			offers = []string{"none"}
		}
		r.askResult("How many seconds until flashback, or none?", offers...)
	}
	if r.alike > 0 && len(r.Outcomes) == 1 {
		r.askAlike()
	} else if r.alike > 0 && len(r.Outcomes) != r.alike && !r.asksResult() {
		r.askWhat(fmt.Sprint(r.alike))
	}
	for i := range r.Outcomes {
		if r.Outcomes[i].Flashback {
			r.Outcomes[i].WatchedS = r.watchS
		}
		r.weighOutcome(r.Outcomes[i])
	}
	r.askWhose()
}

func noneText(watched float64) string {
	if watched == 0 {
		return "none"
	}
	return "none in " + trade.Number(watched) + " s"
}

func (r *reader) askSeveral() {
	n := len(r.Outcomes)
	q := Question{Text: fmt.Sprintf("I read %s s. Are these %d tests?", r.times(), n), kind: askSeveral,
		Answers: []Answer{{fmt.Sprintf("yes, %d tests", n), "yes"}}}
	for _, o := range r.Outcomes {
		if n == 2 && r.PullML == 0 && o.Seconds < 0.5 && canBePull(o.Seconds) {
			q.Answers = append(q.Answers, Answer{o.Typed + " is the pull, mL", o.Typed + " ml"})
		}
	}
	for _, o := range r.Outcomes {
		if o.Seconds <= trade.LongestWatchS {
			q.Answers = append(q.Answers, Answer{"only " + o.Typed + " s", o.Typed + " s"})
		}
	}
	r.ask(q)
}

func (r *reader) weighOutcome(o Outcome) {
	text := ""
	switch {
	case o.Seconds > trade.LongestWatchS || o.WatchedS > trade.LongestWatchS:
		r.askResult(fmt.Sprintf("At most %s s can be logged. How many seconds?", trade.Number(trade.LongestWatchS)))
	case o.Flashback && (o.Seconds < soonest || o.Seconds > latest):
		text = trade.Number(o.Seconds) + " s is unusual. Is it right?"
	case o.Flashback && o.WatchedS > 0 && o.Seconds > o.WatchedS:
		r.askResult(fmt.Sprintf("Flashback at %s s is later than the %s s watched. How many seconds?", o.Typed,
			trade.Number(o.WatchedS)))
	case !o.Flashback && o.WatchedS > 0 && (o.WatchedS < 2 || o.WatchedS > 2*latest):
		text = "None in " + trade.Number(o.WatchedS) + " s is unusual. Is it right?"
	case r.vague && o.Flashback:
		text = "Was it " + o.Typed + " s?"
	case r.vague:
		text = "Was it " + noneText(o.WatchedS) + "?"
	}
	if text != "" {
		r.ask(Question{Text: text, kind: askYes, Answers: offered("yes")})
	}
}
