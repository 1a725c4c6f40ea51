package patientdata

import (
	"regexp"
	"strings"
)

var (
	dot    = `(?: (?:` + lists.Of("dot") + `) |[\[({](?:` + lists.Of("dot") + `)[\])}]|\.)`
	domain = ` ?[\pL\pN-]+ ?` + dot + ` ?(?:` + lists.Of("end of an address") + `)(?:$|[^\pL\pN])`

	address = regexp.MustCompile(`[^\s@]+ ?@ ?[^\s@]+\.[^\s@\d][^\s@]*|@` + domain)
	spelt   = atWord(lists.Of("at sign"), `[\])}>]?`+domain)
)

// writtenEmail finds an e-mail address, with its marks or with words for them.
func writtenEmail(t reading) string {
	if strings.Contains(t.folded, "@") && address.MatchString(t.folded) || spelt.in(t, t.folded) {
		return email
	}
	return ""
}
