package logline

import (
	"regexp"

	"holdbench/internal/quantity"
)

// noneWords say that no flashback came.
const noneWords = `(?:\b(?:no|zero|not an?y?|0) (?:drop|thing|flash(?:ed|[ -]?back(?:ed|s)?)?|fb|blood|show` +
	`|return|result|response|sign|red|luck|joy)\b(?:\s+(?:seen|at all|shown|visible|whatsoever))?` +
	`|\b(?:absolutely |still )?nothing\b(?:\s+(?:seen|came|happened|showed|at all|shown|visible))?` +
	`|\bnone\b(?:\s+seen)?|\bnil\b|\bzilch\b|\bnowt\b|\bnada\b` +
	`|\bnever (?:came|flashed|showed|saw (?:it|any|blood|flash(?:back)?))\b|\b(?:did ?n'?t|did not|didnt` +
	`|has ?n'?t|wouldn'?t|would not) (?:flash|come|show|see)\b(?:\s*(?:back|up|any(?:thing)?|flash(?:back)?))?` +
	`|\b(?:nothing|not) seen\b|\bnegative\b|\bneg\b|\bwithout (?:a )?(?:flash(?:ed|[ -]?back(?:ed)?)?|blood)\b` +
	`|\bno-?show\b|\bnope\b|\b(?:stayed|still|remained) (?:clear|dry|clean)\b|\bdry\b)`

var (
	zeroIn     = regexp.MustCompile(`\b(?:zero|nought|naught)\s+(?:in|after|within|at|by|for)\s+` + timeOrNum + notEnd)
	noneIn     = regexp.MustCompile(noneWords + linking + timeOrNum + `\+?` + notEnd)
	noneBehind = regexp.MustCompile(`(?:\b(?:watched|waited|watching|held|at|after|in|for|by|to)\s*)+(?:for\s*` +
		`|up to\s*)?` + timeOrNum + `[\s,:;.-]*(?:and\s*|with\s*|but\s*|of\s*|still\s*|=\s*)?` + noneWords)
	noneAfter = regexp.MustCompile(`(` + quantity.Duration + `)[\s,:;-]*(?:and\s*|with\s*|but\s*|of\s*` +
		`|still\s*|=\s*)?` + noneWords)
	gaveUp = regexp.MustCompile(stopWords + `\s*(?:watching|waiting)?\s*(?:at|after|on` +
		`|by)?\s*` + timeOrNum + notEnd)
	noneOnly = regexp.MustCompile(noneWords)
	stopOnly = regexp.MustCompile(stopWords)
)

// readNone finds whether no flashback came, and how long it was watched.
func (r *reader) readNone() {
	for _, pattern := range []*regexp.Regexp{zeroIn, noneIn, noneBehind, noneAfter, gaveUp} {
		if m := pattern.FindSubmatchIndex(r.plain); m != nil && !r.otherUnit(m[3]) {
			r.none = true
			r.watchS = r.seconds(r.typed[m[2]:m[3]])
			end := m[1]
			if pattern != noneBehind && pattern != noneAfter {
				end = m[3]
			}
			r.take(m[0], end)
		}
	}
	for _, pattern := range []*regexp.Regexp{noneOnly, stopOnly} {
		for m := pattern.FindIndex(r.plain); m != nil && (r.none || pattern == noneOnly); m = pattern.FindIndex(r.plain) {
			r.none = true
			r.take(m[0], m[1])
		}
	}
}
