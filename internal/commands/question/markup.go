package question

import "regexp"

// markup is what a chat client puts among the words: mentions of people, channels and roles, custom emoji, time stamps,
// links and addresses. Their names and digits say nothing about a gel or a needle.
var markup = regexp.MustCompile(`<[@#:/ta][^>\s]*>|(?:^|\s)(?:\S*://\S*|(?i:www\.)\S*|[^\s@]+@\S*\.\S*)|@[A-Za-z]\S*`)

func stripMarkup(text string) string { return markup.ReplaceAllString(text, " ") }

func isASCIILetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
