package discord

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/commands"
)

// longestLine is how much of one line of a Card is shown.
const longestLine = 900

// makeEmbed shows a Card. The caveats stand whole in the small print, whatever
// else has to be cut; of the rest the verdict and the warnings come before the
// facts, and what is left out is counted.
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

// smallPrint is the caveats one under the other. They are the project's own
// words: a test holds them to the room there is.
func smallPrint(caveats []string) string {
	lines := make([]string, len(caveats))
	for i, c := range caveats {
		lines[i] = "– " + tidy(c)
	}
	return plainLines(lines, maxFooter)
}

// plainLines joins lines that are to be kept whole; only beyond all measure they
// are cut.
func plainLines(lines []string, most int) string {
	text := strings.Join(lines, "\n")
	if length(text) <= most {
		return text
	}
	return plain(text, most)
}

// title is the first line. An untested answer begins with the word, so that it
// is never taken for a tested one.
func title(card commands.Card) string {
	if card.Untested {
		const mark = "UNTESTED · "
		return mark + escape(card.Title, maxTitle-length(mark))
	}
	return escape(card.Title, maxTitle)
}

// colour tells kinds of answers apart. It never says more than the words: a
// colour must not be read as safety.
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

// body is the lines of a Card in at most so many characters.
func body(card commands.Card, room int) string {
	var before, after []string
	for _, b := range card.Before {
		before = append(before, "**"+escape(b, longestLine)+"**")
	}
	if card.Address != "" {
		before = append(before, "<"+card.Address+">") // the store takes none that could end it early
	}
	if card.Verdict != "" {
		words := escape(card.Verdict, longestLine)
		if card.Untested {
			before = append(before, "*"+words+"*")
		} else {
			before = append(before, "**"+words+"**")
		}
	}
	if !card.Since.IsZero() {
		// runs on in the reader's client
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

// names puts what Discord shows as a name, and notifies nobody by, in place of the
// ids that the Card says stand in its lines (reference, message formatting).
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

// fit joins three groups of lines. Where there is no room for all, lines of the
// middle go first, from its end, then of the last, then of the first, and how
// many is said.
func fit(before, middle, after []string, room int) string {
	groups := [3][]string{before, middle, after}
	size, left := -1, 0
	for _, group := range groups {
		for _, line := range group {
			size += length(line) + 1
		}
	}
	note := ""
	for size+length(note) > room {
		i := longestWait(groups)
		if i < 0 {
			return ""
		}
		last := len(groups[i]) - 1
		size -= length(groups[i][last]) + 1
		groups[i] = groups[i][:last]
		left++
		note = "\n… and " + strconv.Itoa(left) + " more lines"
	}
	lines := slices.Concat(groups[0], groups[1], groups[2])
	return strings.TrimPrefix(strings.Join(lines, "\n")+note, "\n")
}

// longestWait is the group that can do without a line soonest, below 0 if none
// has one left.
func longestWait(groups [3][]string) int {
	for _, i := range [...]int{1, 2, 0} {
		if len(groups[i]) > 0 {
			return i
		}
	}
	return -1
}
