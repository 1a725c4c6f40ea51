package question

import "regexp"

// markup is what a chat client puts into a text besides words: mentions of people,
// channels and roles, custom emoji, time stamps, links and addresses. None of them says
// anything about a gel or a needle, and their digits and names must not be read as if
// they did.
var markup = regexp.MustCompile(`<[@#:/ta][^>\s]*>|(?:^|\s)(?:\S*://\S*|(?i:www\.)\S*|[^\s@]+@\S*\.\S*)|@[A-Za-z]\S*`)

// stripMarkup takes the markup out of a text.
func stripMarkup(text string) string { return markup.ReplaceAllString(text, " ") }

func isASCIILetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
