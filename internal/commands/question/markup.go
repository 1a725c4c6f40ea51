package question

import "strings"

// stripMarkup takes out what a chat client puts into a text besides words:
// mentions of people, channels and roles, custom emoji, time stamps, links and
// addresses. None of them says anything about a gel or a needle, and their
// digits and names must not be read as if they did.
func stripMarkup(text string) string {
	if !strings.ContainsAny(text, "<@/") {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		if end := markupEnd(text, i); end > i {
			b.WriteByte(' ')
			i = end
			continue
		}
		b.WriteByte(text[i])
		i++
	}
	return b.String()
}

// markupEnd returns the end of the markup that starts at i, or i if none does.
func markupEnd(text string, i int) int {
	rest := text[i:]
	switch {
	case rest[0] == '<' && len(rest) > 1 && strings.IndexByte("@#:/ta", rest[1]) >= 0:
		end := strings.IndexByte(rest, '>')
		if end < 0 || strings.ContainsAny(rest[:end], " \n") {
			return i
		}
		return i + end + 1
	case wordStart(text, i) && isLink(rest):
		return i + untilBlank(rest)
	case rest[0] == '@' && len(rest) > 1 && isASCIILetter(rest[1]):
		return i + untilBlank(rest)
	}
	return i
}

// wordStart reports whether a new word begins at i.
func wordStart(text string, i int) bool {
	return i == 0 || text[i-1] <= ' '
}

// isLink reports whether the word at the start of rest is a web or mail address.
func isLink(rest string) bool {
	word := rest[:untilBlank(rest)]
	if strings.Contains(word, "://") || strings.HasPrefix(strings.ToLower(word), "www.") {
		return true
	}
	at := strings.IndexByte(word, '@')
	return at > 0 && strings.Contains(word[at:], ".")
}

// untilBlank returns the length of the first word of text.
func untilBlank(text string) int {
	if end := strings.IndexAny(text, " \t\r\n"); end >= 0 {
		return end
	}
	return len(text)
}

func isASCIILetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
