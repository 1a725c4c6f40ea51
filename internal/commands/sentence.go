package commands

import "regexp"

// sentences are whole lines that ask for a command in a member's own words, tried in this order. What the pattern
// captures is the command's text.
var sentences = []struct {
	command string
	pattern *regexp.Regexp
}{
	{stockName, whole(`(?:add|put) (.+?) (?:to|in|into|on) ` + cupboard)}, // add orrick mid to my stock
	{stockRemoveName, whole(`(?:remove|take|delete|drop) (.+?) (?:from|out of|off) ` + cupboard)},
	{withdrawName, whole(`(?:take back|delete|remove|undo|cancel|scrap) tests?(?: no)?[ .#]*(\d+)`)},
	{batchName, whole(`(?:(?:i am |i'm |im )?(?:done|finished|ready)(?: with (?:the|my) (?:bench|session))?[:,. ]+)?` +
		`(b-?\d+[ :,]+(?:\d|none|nothing|no flash).*)`)}, // done with the bench: B-1 7.2, none
	{productsName, whole(listOf(`gels|products|fillers`))}, // which gels are there?
	{instrumentsName, whole(listOf(`needles|cannulas|syringes`))},
}

const cupboard = `(?:my |the )?(?:stock|cupboard|drawer)`

// whole is the pattern of a whole line, without what begins or ends it out of politeness.
func whole(words string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(?:please |can you |could you )*` + words + `(?: please)?[?.! ]*$`)
}

// listOf is the pattern of a line that asks what is on a list. It captures an empty text.
func listOf(nouns string) string {
	return `(?:(?:show|list|give)(?: me)?|which|what)(?: all)?(?: the| our)? (?:` + nouns + `)` +
		`(?: (?:are (?:there|on the list)|do (?:we|you) (?:have|know)|(?:have|has) (?:we|the group)(?: got)?|we have))?()`
}

// saidInASentence is the command that a line asks for in a sentence, "" for none, and the command's text.
func saidInASentence(line string) (command, text string) {
	for _, s := range sentences {
		if m := s.pattern.FindStringSubmatch(line); m != nil {
			return s.command, m[1]
		}
	}
	return "", ""
}
