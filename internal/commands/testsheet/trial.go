package testsheet

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/quantity"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// trial has the cells of one test beside the day, the member and the combination.
type trial struct{ seconds, outcome, none, watched, pull, liquid, temperature, timing, note string }

// part is a trial as a file of tests writes it.
type part struct {
	outcome, seconds, watched, timing, pull, liquid, temperature, marks, link, note, lot, expires string

	unwatched bool // no flashback came, and no cell says how long it was watched
	problem   string
}

// trials are the tests of a row: one for each column of seconds that is not blank, or a single
// one.
func (w *walker) trials(row sheet.Row) (all []trial) {
	t := trial{outcome: w.cell(row, Outcome), none: w.cell(row, None), watched: w.cell(row, Watched),
		pull: w.cell(row, Pull), liquid: w.cell(row, Liquid), temperature: w.cell(row, Temperature),
		timing: w.cell(row, Timing), note: w.cell(row, Note)}
	if t.watched != "" || !digits.MatchString(t.note) {
		t.note = "" // it says no time watched that is needed
	}
	for _, i := range w.at[Seconds] {
		if t.seconds = w.text(row, i); t.seconds != "" {
			all = append(all, t)
		}
	}
	if len(all) == 0 {
		t.seconds = ""
		all = append(all, t)
	}
	return all
}

var (
	digits     = regexp.MustCompile(`\d`)
	plainPoint = regexp.MustCompile(`^\d{1,3}(?:\.\d{1,3})?$`)
)

// What a cell of a result says beside the words of a yes and a no.
var (
	shownMarks = strings.Split("pos,positive,true,1,flash,flashback,seen,fb,+,x,✓", ",")
	noneMarks  = strings.Split("none,neg,negative,nil,false,0,nothing,not seen,no flash,no flashback", ",")
)

// saysYes and saysNo read a cell that says whether something is so, flashback above all.
func saysYes(cell string) bool {
	yes, _ := logline.YesNo(cell)
	return yes || slices.Contains(shownMarks, plainMark(cell))
}

func saysNo(cell string) bool {
	yes, is := logline.YesNo(cell)
	return is && !yes || slices.Contains(noneMarks, plainMark(cell))
}

func plainMark(cell string) string { return strings.ToLower(strings.TrimSuffix(cell, ".")) }

// read reads the cells of a test; the same cells are read once.
func (p *Plan) read(t trial) part {
	key := strings.Join([]string{t.seconds, t.outcome, t.none, t.watched, t.pull, t.liquid, t.temperature, t.timing,
		t.note}, "\x00")
	if is, kept := p.parts[key]; kept {
		return is
	}
	is, err := p.readTrial(t)
	if err != nil {
		is.problem = err.Error()
	}
	if len(p.parts) >= mostKept {
		clear(p.parts)
	}
	p.parts[key] = is
	return is
}

// result is the result of a test in the words of a line in chat, "" if no cell says it.
func (t trial) result() string {
	switch {
	case saysNo(t.outcome), t.outcome == "" && t.none != "" && !saysNo(t.none):
		within := ""
		if bareNumber.MatchString(strings.TrimSuffix(t.none, " s")) && t.none != "1" {
			within = " in " + t.none
		} else if t.seconds != "" && !saysNo(t.seconds) {
			within = " in " + t.seconds
		}
		return "none" + within
	case t.seconds == "" && !saysYes(t.outcome):
		return t.outcome
	case t.outcome == "", saysYes(t.outcome):
		return t.seconds
	}
	return t.outcome + " " + t.seconds // a fault, unless the two can be read together
}

func (p *Plan) readTrial(t trial) (is part, err error) {
	var l logline.Line
	put := func(field logline.Field, text string) {
		if err == nil && text != "" {
			err = l.Put(field, text, p.lists.Today)
		}
	}
	if bareNumber.MatchString(t.timing) {
		t.timing += " fps"
	}
	put(logline.Timing, t.timing)
	result := t.result()
	if result == "" {
		return is, &quantity.Problem{Why: "seconds: nothing says when flashback came, or that none did"}
	}
	if v, number := strconv.ParseFloat(result, 64); number == nil && plainPoint.MatchString(result) {
		l.Outcomes = []logline.Outcome{{Flashback: true, Seconds: v, Typed: result}}
	} else {
		put(logline.Result, result)
	}
	put(logline.Watched, t.watched)
	if err == nil && len(l.Outcomes) == 1 && !l.Outcomes[0].Flashback && l.WatchedS() == 0 {
		said := logline.ReadLog(t.note, p.lists.Index, p.lists.Today).WatchedS()
		if is.unwatched = said == 0; is.unwatched {
			put(logline.Watched, p.answers[watchedKey])
		} else {
			put(logline.Watched, trade.Number(said))
		}
	}
	put(logline.Pull, t.pull)
	put(logline.Liquid, t.liquid)
	put(logline.Temperature, t.temperature)
	if err == nil {
		err = oneResult(l, result, is.unwatched)
	}
	if err != nil {
		return is, err
	}
	return p.written(is, l), nil
}

// oneResult is what is wrong with the result of a test, nil for nothing.
func oneResult(l logline.Line, result string, unwatched bool) error {
	switch {
	case unwatched && l.WatchedS() == 0:
		return &quantity.Problem{Why: "watched: none, and nothing says for how long"}
	case l.Ask != nil:
		return &quantity.Problem{Why: "seconds: " + unclear(result, l.Ask.Text)}
	case len(l.Outcomes) != 1:
		return &quantity.Problem{Why: "seconds: " + result + " is not one result"}
	}
	return nil
}

// unclear is why a result cannot be read: what chat would say, without the question at its end.
func unclear(result, ask string) string {
	if end := strings.LastIndex(ask, ". "); end >= 0 {
		return ask[:end]
	}
	return result + " is not clear"
}

// written is a test as a file writes it, with the usual values that the sheet does not say.
func (p *Plan) written(is part, l logline.Line) part {
	usual, o := p.lists.Usual, l.Outcomes[0]
	is.outcome, is.seconds = "none", ""
	watched := max(l.WatchedS(), o.WatchedS)
	if o.Flashback {
		is.outcome, is.seconds = "flashback", o.Typed
		if watched == 0 {
			watched = max(usual.WatchedS, math.Ceil(o.Seconds))
		}
	}
	is.watched = trade.Number(watched)
	is.timing, is.pull = usual.Timing, trade.Number(usual.PullML)
	is.liquid, is.temperature = usual.Liquid, trade.Number(usual.LiquidC)
	if l.Timing != nil {
		is.timing = l.Timing.String()
	} else if l.Film.Marks != "" {
		is.timing = quantity.Timing{FPS: usual.FilmFPS}.String()
	}
	if l.PullML > 0 {
		is.pull = trade.Number(l.PullML)
	}
	if l.Liquid != "" {
		is.liquid = l.Liquid
	}
	if l.LiquidC != nil {
		is.temperature = trade.Number(*l.LiquidC)
	}
	is.marks, is.link, is.note, is.lot, is.expires = l.Film.Marks, l.Link, l.Note, l.Lot.Number, l.Lot.Expires
	return is
}
