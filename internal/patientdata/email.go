package patientdata

import (
	"regexp"
	"strings"
)

// What stands for @ and for the dot in an address, and what addresses end in.
const (
	atWords = `at|a\)|chez|arobase|arroba|chiocciola|zavinac|apenstaartje|malpa|kukac|sobaka|собака|klammeraffe|snabel-?a|krollalfa|παπακι`
	dotted  = `(?: (?:dot|punkt|point|punto|ponto|tecka|bodka|kropka|pont|piste|точка|tochka|τελεια|nokta) |[\[({](?:dot|punkt|point|punto)[\])}]|\.)`
	endings = `com|org|net|info|eu|uk|ie|de|at|ch|fr|be|nl|lu|es|pt|it|se|no|dk|fi|is|pl|cz|sk|hu|ro|bg|hr|si|rs|gr|tr|` +
		`ru|ua|ee|lv|lt|io|me|example|invalid|test`
	domain = ` ?[\pL\pN-]+ ?` + dotted + ` ?(?:` + endings + `)(?:$|[^\pL\pN])`
)

var (
	address = regexp.MustCompile(`[^\s@]+ ?@ ?[^\s@]+\.[^\s@\d][^\s@]*|@` + domain)
	spelt   = atWord(atWords, `[\])}>]?`+domain)
)

// writtenEmail finds an e-mail address, with its marks or with words for them.
func writtenEmail(t reading) string {
	if strings.Contains(t.folded, "@") && address.MatchString(t.folded) || spelt.in(t, t.folded) {
		return email
	}
	return ""
}
