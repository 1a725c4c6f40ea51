package commands

import (
	"context"
	"maps"
	"regexp"
	"strings"

	"holdbench/internal/knowledge"
)

var (
	// plainSeconds is a number at the end without a unit.
	plainSeconds = regexp.MustCompile(`(?:^|[\s,:])(\d{1,3}(?:[.,]\d{1,3})?)$`)
	// lengthSaid is a needle's length: only beside one is a bare number the seconds.
	lengthSaid = regexp.MustCompile(`(?i)\d\s*mm\b`)
	plainDay   = regexp.MustCompile(`(?i)(?:^|\s)(?:on\s+)?(today|yesterday|\d{4}-\d\d-\d\d)\b`)
)

// logPlain reads a test from one line, as in "orrick mid 30g 13mm 7.13": the
// result as in a post, the combination as in a question. What stands in options
// wins.
func logPlain(ctx context.Context, env *Env, req Request) (Request, *Card, error) {
	said, rest := plainResult(req.Text)
	maps.Copy(said, req.Values)
	if said["seconds"] == "" {
		return req, nil, refuse("Write it with its unit, as in: log orrick mid 30G 13 mm 7.13 s, or none in 30 s.", "The result is not clear.")
	}
	req.Text, req.Values = rest, said
	a, back, err := readQuestion(ctx, env, Request{Command: req.Command, Text: questionText(req)})
	if back != nil {
		again := req
		for i, choice := range back.Choices {
			again.Text = choice.Request.Text
			back.Choices[i].Request = again
		}
	}
	if err != nil || back != nil {
		return req, back, err
	}
	req.Text = ""
	req = req.with(productOption, a.combination.Product.Name).with(instrumentOption, a.combination.Instrument.Name())
	if syringe := a.combination.Syringe.Name; syringe != usualSyringe {
		req = req.with(syringeOption, syringe)
	}
	if a.pullML > 0 && req.value("pull") == "" {
		req = req.with("pull", trimNumber(a.pullML))
	}
	return req, nil, nil
}

// plainResult is what a line says of a test beside its combination, by option, and
// the line without it.
func plainResult(text string) (said map[string]string, rest string) {
	said = map[string]string{}
	if m := plainDay.FindStringSubmatch(text); m != nil {
		said["date"] = strings.ToLower(m[1])
		text = strings.TrimSpace(plainDay.ReplaceAllString(text, ""))
	}
	var bench knowledge.BenchTest
	if m := postRate.FindStringSubmatch(text); m != nil {
		bench.Timing = "video " + m[1] + " fps"
	}
	said["seconds"] = postResult(text, &bench)
	rest = text
	for _, result := range []*regexp.Regexp{postFilm, postRate, postWatched, postSeconds, postNone} {
		rest = result.ReplaceAllString(rest, " ")
	}
	rest = strings.Join(strings.Fields(rest), " ")
	if m := plainSeconds.FindStringSubmatchIndex(rest); m != nil && said["seconds"] == "" && lengthSaid.MatchString(rest[:m[0]]) {
		said["seconds"], rest = rest[m[2]:m[3]], rest[:m[0]]
	}
	if bench.Timing != "" {
		said["timing"] = bench.Timing
	}
	if bench.WatchedS > 0 {
		said["watched"] = trimNumber(bench.WatchedS)
	}
	for name, value := range said {
		if value == "" {
			delete(said, name)
		}
	}
	return said, strings.Trim(rest, " ,;:")
}
