package discord

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/commands"
)

// longestLine is how many characters of one line of a Card are shown.
const longestLine = 900

// makeEmbed shows a Card. The caveats in the small print are never cut to make room. Of the rest, verdict and warnings
// come before facts, and the number of lines that were left out is shown.
func makeEmbed(card commands.Card) embed {
	small := smallPrint(card.SmallPrint())
	e := embed{Title: title(card), Color: colour(card)}
	if small != "" {
		e.Footer = &footer{Text: small}
	}
	room := min(maxDescription, maxEmbedTotal-length(e.Title)-length(small))
	e.Description = body(card, room)
	if e.Title == "" && e.Description == "" {
		e.Description = "…" // Discord takes no embed with nothing in it
	}
	return e
}

// smallPrint lists the caveats. A test checks that they fit.
func smallPrint(caveats []string) string {
	lines := make([]string, len(caveats))
	for i, c := range caveats {
		lines[i] = "– " + tidy(c)
	}
	text := strings.Join(lines, "\n")
	if length(text) <= maxFooter {
		return text
	}
	return plain(text, maxFooter)
}

// title begins with UNTESTED for an untested answer, so that nobody takes it for a tested one.
func title(card commands.Card) string {
	if card.Untested {
		const mark = "UNTESTED · "
		return mark + escape(card.Title, maxTitle-length(mark))
	}
	return escape(card.Title, maxTitle)
}

// colour tells kinds of answers apart. It never says more than the words do: no colour may be read as safe.
func colour(card commands.Card) int {
	switch {
	case card.Failed, card.Urgent:
		return colourBrick
	case card.Refused, len(card.Choices) > 0:
		return colourGrey
	case card.Untested:
		return colourOchre
	}
	return colourMarine
}

// body is the lines of a Card, in at most room characters.
func body(card commands.Card, room int) string {
	var before, after []string
	for _, b := range card.Before {
		before = append(before, "**"+escape(b, longestLine)+"**")
	}
	if card.Address != "" {
		before = append(before, "<"+card.Address+">") // the store takes no address with a > in it
	}
	if card.Verdict != "" {
		words := escape(card.Verdict, longestLine)
		if card.Untested {
			before = append(before, "*"+words+"*")
		} else {
			before = append(before, "**"+words+"**")
		}
	}
	if !card.Since.IsZero() { // the reader's client keeps it running
		before = append(before, "⏱ <t:"+strconv.FormatInt(card.Since.Unix(), 10)+":R>")
	}
	for _, w := range card.Warnings {
		after = append(after, "❗ "+escape(w, longestLine))
	}
	for _, s := range card.Sources {
		after = append(after, "Source: "+escape(s, longestLine))
	}
	facts, named := make([]string, len(card.Facts)), names(card)
	for i, f := range card.Facts {
		facts[i] = named.Replace(factLine(f))
	}
	return fit(before, facts, after, room)
}

// names replaces the ids of the Card's channel and role, where they stand in its lines, by references that Discord
// shows as names (reference, message formatting). They notify nobody.
func names(card commands.Card) *strings.Replacer {
	var pairs []string
	if isID(card.Channel) {
		pairs = append(pairs, "channel "+card.Channel, "<#"+card.Channel+">")
	}
	if isID(card.Role) {
		pairs = append(pairs, "role "+card.Role, "<@&"+card.Role+">")
	}
	return strings.NewReplacer(pairs...)
}

func factLine(f commands.Fact) string {
	text := escape(f.Text, longestLine)
	if f.Label == "" {
		return text
	}
	return "**" + escape(f.Label, maxTitle) + "** " + text
}

// fit joins three groups of lines. If there is no room for all, it drops lines from the end of the middle group, then
// of the last, then of the first, and says how many.
func fit(before, middle, after []string, room int) string {
	size, left, note := -1, 0, ""
	for _, line := range slices.Concat(before, middle, after) {
		size += length(line) + 1
	}
	for size+length(note) > room {
		var from *[]string
		switch {
		case len(middle) > 0:
			from = &middle
		case len(after) > 0:
			from = &after
		case len(before) > 0:
			from = &before
		default:
			return ""
		}
		last := len(*from) - 1
		size -= length((*from)[last]) + 1
		*from = (*from)[:last]
		left++
		note = "\n… and " + strconv.Itoa(left) + " more lines"
	}
	return strings.TrimPrefix(strings.Join(slices.Concat(before, middle, after), "\n")+note, "\n")
}
