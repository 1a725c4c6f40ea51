package logline

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

var (
	glycerol = regexp.MustCompile(`\b(?:(` + quantity.Decimal + `)\s*(?:%|percent|per cent)?\s*gly(?:c|cerol` +
		`|cerine|cerin)?\b(?:[- /]*water)?|gly(?:c|cerol|cerine` +
		`|cerin)?\b(?:[- /]*water)?\s*(?:at\s*)?(?:(` + quantity.Decimal + `)\s*(%|percent|per cent)?)?)`)
	milkWater = regexp.MustCompile(`\b(?:in\s+)?((?:semi[- ]?skimmed|skimmed|skim|whole|full[- ]fat|uht` +
		`|oat)?\s*milk|tap water|distilled water|water|saline)\b`)
	unitless    = regexp.MustCompile(`(` + quantity.Decimal + `)[^\d%]*$`)
	degreeRange = regexp.MustCompile(rangeStart + `\s*` + quantity.DegreeUnit + `(?:$|[\s,;.)])`)
	degrees     = regexp.MustCompile(`(?:at\s+|@\s*)?(?:\b(` + quantity.Decimal + `)\s*` + `(?:(?:°|º|degrees?` +
		`|degs?)\s*(?:c|celsius|centigrade)?|c|celsius|centigrade)` +
		`|\b(?:room\s+)?temp(?:erature)?\s*(?:was|is|of|=|:)?\s*(` + quantity.Decimal + `))(?:$|[\s,;.)])`)
)

// warmest is the warmest that a bench liquid is taken to be, in °C (practice).
const warmest = 45

// ReadBench reads the bench conditions of a form, "0.2 mL, milk 21 °C, video 60 fps", as a line is read. What is
// nothing else is the liquid.
//
// Errors: *quantity.Problem for a part that is open or was not understood.
func ReadBench(text string, today time.Time) (Line, error) {
	r := newReader(text, question.NewIndex(nil, nil, nil), today)
	r.readRemarks()
	r.putInEnglish()
	r.readSpelled()
	r.readDays()
	r.readTiming()
	r.readTemperature()
	r.readPulls()
	r.readWatched()
	r.watched = r.watchS
	if len(r.open) == 1 && r.open[0].kind == askPull && r.open[0].number != "" { // no syringe stands here
		r.PullML, r.open = number(decimalIn.FindString(r.open[0].number)), nil
	}
	left := r.left()
	if len(r.open) > 0 {
		return r.Line, &quantity.Problem{Text: text, Why: r.open[0].Text}
	}
	if n := unitless.FindStringSubmatch(strings.Join(left, " ") + " "); n != nil {
		return r.Line, &quantity.Problem{Text: text, Why: "What is " + n[1] + "? Write it with its unit."}
	}
	if len(left) > 1 {
		return r.Line, &quantity.Problem{Text: text, Why: "The liquid cannot be both " + left[0] + " and " + left[1] +
			"."}
	}
	if len(left) == 1 {
		if err := r.putLiquid(left[0]); err != nil {
			return r.Line, err
		}
	}
	return r.Line, nil
}

// readBench finds how it was timed, the liquid and its temperature.
func (r *reader) readBench() {
	r.readTiming()
	r.readLiquid()
	r.readTemperature()
}

// bodyWarm is a temperature without its degrees.
var bodyWarm = regexp.MustCompile(`\b(?:at|to|of)?\s*body[- ]?(?:temp(?:erature)?|warm|heat)\b`)

func (r *reader) readTemperature() {
	if m := degreeRange.FindSubmatchIndex(r.plain); m != nil {
		r.askWhich(m, askTemperature, "°C")
	}
	for m := degrees.FindSubmatchIndex(r.plain); m != nil; m = degrees.FindSubmatchIndex(r.plain) {
		text := group(r.typed, m, 1) + group(r.typed, m, 2)
		r.take(m[0], m[1])
		v, err := quantity.Temperature(text)
		switch {
		case err != nil || v > warmest:
			r.ask(Question{Text: fmt.Sprintf("What temperature is %s?", strings.TrimSpace(text)), kind: askTemperature})
		case r.LiquidC != nil && *r.LiquidC != v:
			r.ask(Question{Text: "Two temperatures are named. Which was the liquid's?", kind: askTemperature,
				Answers: offered(trade.Number(*r.LiquidC)+" °C", trade.Number(v)+" °C")})
		default:
			r.LiquidC = &v
		}
	}
	if m := bodyWarm.FindIndex(r.plain); m != nil && r.LiquidC == nil {
		said := strings.TrimSpace(r.take(m[0], m[1]))
		r.ask(Question{Text: "How warm is “" + said + "”, by the thermometer?", kind: askTemperature,
			Answers: offered("37 °C")})
	}
}

func (r *reader) readLiquid() {
	if m := r.glycerol(); m != nil {
		strength := group(r.typed, m, 1) + group(r.typed, m, 2)
		sure := m[2] >= 0 || m[6] >= 0 || strings.HasSuffix(strings.TrimSpace(string(r.plain[m[0]:m[1]])), "%")
		v, err := quantity.Percent(strength)
		end := m[1]
		if strength != "" && !sure && (v < 10 || err != nil) { // "glycerol 4.2": rather the seconds
			strength, end = "", m[4]
		}
		if r.take(m[0], end); strength == "" || err != nil || v > 100 {
			r.ask(Question{Text: "How much glycerol, in per cent?", kind: askLiquid, Answers: offered("40 %", "30 %")})
		} else {
			r.Liquid = "glycerol-water " + trade.Number(v) + "%"
		}
	}
	for m := milkWater.FindSubmatchIndex(r.plain); m != nil; m = milkWater.FindSubmatchIndex(r.plain) {
		if strings.HasSuffix(strings.TrimSpace(string(r.plain[:m[0]])), "with") {
			return
		}
		liquid := strings.ToLower(strings.Join(strings.Fields(r.typed[m[2]:m[3]]), " "))
		r.take(m[0], m[1])
		if liquid == "milk" || liquid == "full fat milk" || liquid == "full-fat milk" {
			liquid = "whole milk"
		}
		if r.Liquid != "" && r.Liquid != liquid {
			r.ask(Question{Text: "Two liquids are named. Which was it?", kind: askLiquid,
				Answers: offered(r.Liquid, liquid)})
			return
		}
		r.Liquid = liquid
	}
}

// glycerol finds glycerol and its strength, nil if the line has none. Between two numbers the strength is the one
// behind it, if that is in per cent or too large for seconds: "7.1 glycerin 40".
func (r *reader) glycerol() []int {
	m := glycerol.FindSubmatchIndex(r.plain)
	if m == nil || m[2] < 0 || strings.ContainsRune(string(r.plain[m[3]:m[1]]), '%') {
		return m
	}
	behind := glycerol.FindSubmatchIndex(r.plain[m[3]:])
	if behind == nil || behind[4] < 0 {
		return m
	}
	for i := range behind {
		if behind[i] >= 0 {
			behind[i] += m[3]
		}
	}
	if v, err := quantity.Percent(group(r.typed, behind, 2)); err != nil || behind[6] < 0 && v < 10 {
		return m
	}
	behind[6], behind[7] = behind[4], behind[5] // as if it had its per cent: it is surely no time
	return behind
}

// group is a group of a match, "" if it matched nothing.
func group(text string, m []int, n int) string {
	if m[2*n] < 0 {
		return ""
	}
	return text[m[2*n]:m[2*n+1]]
}
