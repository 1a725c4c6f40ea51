package commands

import (
	"context"
	"regexp"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
)

// What a post says about a test's result, in the order in which it is believed:
// a film's marks, none, seconds. A time that could be another is left open.
var (
	postNone    = regexp.MustCompile(`(?i)\b(?:none|no flash ?backs?|nothing|no blood)\b`)
	postWatched = regexp.MustCompile(`(?i)\b(?:watched|waited|held|in|after|for)\s*(?:for\s*)?(\d{1,3}(?:[.,]\d{1,3})?)\s*(?:s|secs?|seconds?)\b`)
	postSeconds = regexp.MustCompile(`(?i)(\d{1,3}(?:[.,]\d{1,3})?)\s*(?:s|secs?|seconds?)\b`)
	postRate    = regexp.MustCompile(`(?i)(\d{1,4}(?:[.,]\d{1,3})?)\s*fps\b`)
	postFilm    = regexp.MustCompile(clockMarks.String() + `|` + frameMarks.String() + `|` + frameRate.String())
)

// fillFromPost fills in what a post says, and leaves as it was what it does not.
func fillFromPost(ctx context.Context, env *Env, text string, filled map[string]string, bench *knowledge.BenchTest) error {
	if m := postRate.FindStringSubmatch(text); m != nil {
		bench.Timing = "video " + m[1] + " fps"
	}
	filled[resultField] = postResult(text, bench)
	rest := text
	for _, result := range []*regexp.Regexp{postFilm, postRate, postSeconds} {
		rest = result.ReplaceAllString(rest, " ")
	}
	_, index, err := env.reader(ctx)
	if err != nil {
		return err
	}
	product, instrument, setup := readPost(index, rest)
	if product != "" {
		filled[gelField] = product
	}
	switch {
	case setup != "":
		filled[setupField] = setup
	case instrument != "":
		filled[setupField] = instrument
	case product != "":
		filled[setupField] = "" // the last test's needle is not this one's
	}
	return nil
}

// postResult is the result as the form takes it, "" where the post does not say
// it, or says more than one.
func postResult(text string, bench *knowledge.BenchTest) string {
	if marks := postFilm.FindString(text); marks != "" {
		if !strings.HasPrefix(bench.Timing, "video") {
			bench.Timing = "video " + trimNumber(usualFPS) + " fps"
		}
		return strings.TrimSpace(marks)
	}
	if postNone.MatchString(text) {
		if m := postWatched.FindStringSubmatch(text); m != nil {
			bench.WatchedS = decimal(m[1])
		}
		return string(knowledge.None)
	}
	if all := postSeconds.FindAllStringSubmatch(text, -1); len(all) == 1 {
		return all[0][1]
	}
	return ""
}

// readPost reads the combination. Where the text leaves a part open, what all
// its readings share is taken: the form shows it, and the tester decides.
func readPost(index *question.Index, text string) (product, instrument, setup string) {
	r := index.Read(text)
	if r.Outcome == question.One {
		return r.Product.Name, r.Instrument.Name(), setupWords(r.Combination())
	}
	for i, choice := range r.Choices {
		again := index.Read(choice.Text)
		if again.Outcome != question.One {
			return "", "", ""
		}
		c := again.Combination()
		if i == 0 {
			product, instrument = c.Product.Name, c.Instrument.Name()
		}
		if c.Product.Name != product {
			product = ""
		}
		if c.Instrument.Name() != instrument {
			instrument = ""
		}
	}
	return product, instrument, ""
}
