package commands

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"

	"holdbench/internal/knowledge"
)

// apartAskers are those who ask in A, by what they are there. B has people by the
// same refs, and B's own member and trainer ask in A, too.
var apartAskers = map[string]Asker{
	"member":        Belonging(askingMember.Ref, "quayside", false),
	"trainer":       Belonging(askingTrainer.Ref, "lantern", true),
	"never seen":    Belonging("newcomer", "Newcomer", false),
	"outsider":      askingOutsider,
	"not vouched":   {Ref: "visitor", Name: "Visitor", Role: knowledge.MemberRole},
	"member of B":   {Ref: markB + "-member", Name: "Visitor", Role: knowledge.MemberRole},
	"lists trainer": askingTrainer,
}

// Words that somebody may type who has seen B, or who tries what comes to mind.
func wordsOf(mark string) []string {
	return []string{
		"Orrick Mid", mark + " Fine", mark + " Deep", mark + " Spare", mark + " Late", mark + " Gone early", mark,
		strings.ToLower(mark[:2]) + "1",
		"27G 13 mm needle", fmt.Sprintf("25G %d mm needle", 17+len(mark)), mark + " syringe", mark + " Member", mark +
			"-member", mark + "-role", mark + "-channel",
	}
}

var junk = []string{"", "%", "*", "all", "' OR 1=1 --", "1/1/1", "-1", "0", "B-1", "B-4", "B-9", "3", "17", "everybody",
	"yesterday", "\x00", "…"}

// draw picks words: mostly A's and B's, now and then anything.
func drawWords(t *rapid.T, label string) string {
	switch rapid.IntRange(0, 9).Draw(t, label+" whose") {
	case 0:
		return rapid.SampledFrom(junk).Draw(t, label)
	case 1:
		return rapid.StringN(0, 30, -1).Draw(t, label)
	case 2, 3, 4:
		return rapid.SampledFrom(wordsOf(markA)).Draw(t, label)
	}
	return rapid.SampledFrom(wordsOf(markB)).Draw(t, label)
}

// plainValues are what the options take that take few words only: anything else is
// refused before it reaches a log.
var plainValues = map[string]string{"timing": "stopwatch", "seconds": "3.4", "liquid": "whole milk",
	"zone": "Europe/Paris", resultsOption: "B-4 3.4", outOption: "B-4"}

// drawValue picks a value for an option, as a surface or a forger would send it.
func drawValue(t *rapid.T, o Option) string {
	if len(o.Choices) > 0 {
		return rapid.SampledFrom(o.Choices).Draw(t, o.Name)
	}
	switch o.Kind {
	case Whole, Number:
		return trimNumber(float64(rapid.IntRange(0, 30).Draw(t, o.Name)))
	case YesNo:
		return rapid.SampledFrom([]string{"yes", "no"}).Draw(t, o.Name)
	case Date:
		return rapid.SampledFrom([]string{"today", "2026-11-03", "2026-12-24"}).Draw(t, o.Name)
	}
	if plain := plainValues[o.Name]; plain != "" && rapid.IntRange(0, 4).Draw(t, o.Name+" plain") > 0 {
		return plain
	}
	return drawWords(t, o.Name)
}

// drawText picks free text: a question, lines of a bench session, or words.
func drawText(t *rapid.T) string {
	switch rapid.IntRange(0, 3).Draw(t, "text") {
	case 0:
		return drawWords(t, "gel") + ", " + drawWords(t, "needle")
	case 1:
		return drawWords(t, "gel") + " 27G 13 mm, is 4 s enough"
	case 2:
		return fmt.Sprintf("B-%d 3.2\nB-%d none", rapid.IntRange(1, 9).Draw(t, "place"),
			rapid.IntRange(1, 9).Draw(t, "other place"))
	}
	return drawWords(t, "words")
}

// drawRequest picks a request to a command by somebody.
func drawRequest(t *rapid.T, cmd *Command, pins []string) Request {
	names := sortedNames(apartAskers)
	req := Request{Command: cmd.Name, Asker: apartAskers[rapid.SampledFrom(names).Draw(t, "asker")],
		Values: map[string]string{}}
	for _, o := range cmd.Options {
		if o.Required || rapid.Bool().Draw(t, "with "+o.Name) {
			req.Values[o.Name] = drawValue(t, o)
		}
	}
	some := func(what string, of int) bool { return rapid.IntRange(1, of).Draw(t, what) == 1 }
	if cmd.Free && some("free", 2) {
		req.Text, req.Typed = drawText(t), some("typed", 3)
	}
	if some("pinned", 3) {
		req.About = rapid.SampledFrom(append(pins, junk...)).Draw(t, "pin")
	}
	if some("keyed", 3) {
		req.Key = rapid.SampledFrom([]string{"key early0", "key late1", "key late7", "key new"}).Draw(t, "key")
	}
	if cmd.Form != nil && some("form", 3) {
		req.Filled = map[string]string{}
		for _, f := range cmd.Form.Fields {
			req.Filled[f.Name] = drawText(t)
		}
	}
	if cmd.Form != nil && cmd.Form.Post != "" && some("post", 4) {
		req.Post, req.Link = &Post{Text: drawText(t)}, "https://example.org/post"
	}
	return req
}

// forged is a request that names what is B's wherever it can name anything.
func forged(cmd *Command, asker Asker, pin string) Request {
	req := Request{Command: cmd.Name, Asker: asker, About: pin, Key: "key late7", Values: map[string]string{}}
	for _, o := range cmd.Options {
		switch {
		case len(o.Choices) > 0:
			req.Values[o.Name] = o.Choices[len(o.Choices)-1]
		case o.Kind == Whole || o.Kind == Number:
			req.Values[o.Name] = trimNumber(min(max(12, o.Min), o.Max)) // a test's number that B has and A has not
		case o.Kind == YesNo:
			req.Values[o.Name] = "yes"
		case o.Kind == Date:
			req.Values[o.Name] = "2026-11-03"
		case o.Name == instrumentOption:
			req.Values[o.Name] = "27G 13 mm needle"
		case o.Name == syringeOption:
			req.Values[o.Name] = markB + " syringe"
		case o.Name == byOption:
			req.Values[o.Name] = markB + " Member"
		case plainValues[o.Name] != "":
			req.Values[o.Name] = plainValues[o.Name]
		case o.Name == "film":
			// beside seconds it would be one time too many
		default:
			req.Values[o.Name] = markB + " Deep"
		}
	}
	if cmd.Free && cmd.Name != batchName { // which has no gel in it
		req.Text = markB + " Deep 27G 13 mm needle"
	}
	return req
}
