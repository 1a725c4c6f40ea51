package logline

import (
	"regexp"
	"strconv"
	"strings"
)

// Labelled is one result of a bench session, by the number of its syringe in the box.
type Labelled struct {
	Number  int // 3 for B-3
	Typed   string
	Line    Line   // its one result, film, timing and note
	Unusual bool   // it has to be confirmed before it is logged
	Problem string // why it was not read, "" if it was
}

var (
	sessionLabel = regexp.MustCompile(`(?i)\bb\s?-?\s?(\d{1,4})\b\s*[:=]?`)
	sessionBreak = regexp.MustCompile(`(?i)[,;]\s+|;|,$|\s+and(?:\s+|$)|\n`)
)

// ReadSession reads the results of a session, on one line or several: "B-1 3.4, B-2 none; B-3 2.2 (second)". Each
// result is read whole or has a Problem. stray is the text before the first label.
func ReadSession(text string) (results []Labelled, stray string) {
	labels := sessionLabel.FindAllStringSubmatchIndex(text, -1)
	if len(labels) == 0 {
		return nil, strings.TrimSpace(text)
	}
	for i, at := range labels {
		end := len(text)
		if i+1 < len(labels) {
			end = labels[i+1][0]
		}
		number, _ := strconv.Atoi(text[at[2]:at[3]]) // digits: the pattern was met
		found := false
		for _, part := range sessionBreak.Split(strings.TrimSpace(text[at[1]:end]), -1) {
			if part = strings.TrimSpace(part); part == "" {
				continue
			}
			one := Labelled{Number: number, Typed: part}
			err := one.Line.putResult(part)
			one.Line.settle(askWatched) // a session has its own
			if q := one.Line.Ask; err != nil {
				one.Problem = err.Error()
			} else if one.Unusual = q != nil && q.kind == askYes; q != nil {
				one.Problem = strings.TrimSuffix(q.Text, " How many seconds?")
			}
			results, found = append(results, one), true
		}
		if !found {
			results = append(results, Labelled{Number: number, Problem: "Nothing stands behind the label."})
		}
	}
	return results, strings.Trim(text[:labels[0][0]], " ,;\n")
}
