package discordtest

import (
	"strings"
	"time"
	"unicode/utf8"
)

// readEmbeds checks the embeds of a message (resources/message, embed limits)
// and returns them as the platform keeps them: whitespace trimmed.
func readEmbeds(f form) []any {
	total := 0
	var out []any
	for _, e := range f.forms("embeds", 0, maxEmbeds) {
		kept, size := readEmbed(e)
		total += size
		out = append(out, kept)
	}
	if total > maxEmbedCharacters {
		f.fail("embeds", "MAX_EMBED_SIZE_EXCEEDED", "Embed size exceeds maximum size of %d", maxEmbedCharacters)
	}
	return out
}

// readEmbed checks one embed and counts the characters that go into the total.
func readEmbed(e form) (object, int) {
	kept := object{"type": "rich"}
	size := e.trimmed(kept, "title", maxEmbedTitle) + e.trimmed(kept, "description", maxEmbedText)
	if link := e.link("url", maxURL, "http", "https"); link != "" {
		kept["url"] = link
	}
	if colour, there := e.whole("color", 0, maxColour); there {
		kept["color"] = colour
	}
	if when := e.text("timestamp", 0, 64); when != "" {
		if _, err := time.Parse(time.RFC3339, when); err != nil {
			e.fail("timestamp", "DATE_TIME_TYPE_PARSE", "Could not parse %s. Should be ISO8601.", when)
		}
		kept["timestamp"] = when
	}
	size += e.credits(kept) + e.fields(kept)
	for _, key := range []string{"image", "thumbnail"} {
		if p, there := e.sub(key); there {
			p.require("url")
			kept[key] = object{"url": p.link("url", maxURL, "http", "https", "attachment")}
		}
	}
	for _, key := range []string{"provider", "video"} {
		if e.has(key) {
			e.fail(key, "EMBED_FIELD_READ_ONLY", "%s cannot be set", key)
		}
	}
	if len(kept) == 1 {
		e.fail("description", "BASE_TYPE_REQUIRED", "This field is required")
	}
	return kept, size
}

// trimmed keeps an optional text without the white space around it and returns
// its length. The limit counts what is left.
func (f form) trimmed(kept object, key string, max int) int {
	if !f.has(key) {
		return 0
	}
	text, isText := f.data[key].(string)
	if !isText {
		return len(f.text(key, 0, max)) // refuses it
	}
	text = strings.TrimSpace(text)
	n := utf8.RuneCountInString(text)
	f.length(key, n, 0, max)
	if text != "" {
		kept[key] = text
	}
	return n
}

// credits reads author and footer.
func (f form) credits(kept object) int {
	size := 0
	if author, there := f.sub("author"); there {
		one := object{}
		author.require("name")
		size += author.trimmed(one, "name", maxAuthor)
		author.copyLink(one, "url", "http", "https")
		author.copyLink(one, "icon_url", "http", "https", "attachment")
		kept["author"] = one
	}
	if footer, there := f.sub("footer"); there {
		one := object{}
		footer.require("text")
		size += footer.trimmed(one, "text", maxFooter)
		footer.copyLink(one, "icon_url", "http", "https", "attachment")
		kept["footer"] = one
	}
	return size
}

func (f form) copyLink(kept object, key string, schemes ...string) {
	if link := f.link(key, maxURL, schemes...); link != "" {
		kept[key] = link
	}
}

// fields reads the fields; neither name nor value may be blank (practice).
func (f form) fields(kept object) int {
	size := 0
	var out []any
	for _, field := range f.forms("fields", 0, maxEmbedFields) {
		one := object{"inline": field.yes("inline")}
		size += field.trimmed(one, "name", maxFieldName) + field.trimmed(one, "value", maxFieldValue)
		for _, key := range []string{"name", "value"} {
			if one[key] == nil {
				field.fail(key, "BASE_TYPE_REQUIRED", "This field is required")
			}
		}
		out = append(out, one)
	}
	if out != nil {
		kept["fields"] = out
	}
	return size
}
