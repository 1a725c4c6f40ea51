package patientdata

import "regexp"

var (
	birthTold = atWord(lists.Of("birth"), ``)
	birthSign = wholeWord(lists.Of("birth sign"), ``)
	bornTold  = atWord(lists.Of("born"), `(?:[ .:,'(-]+(?:\pL{1,3}|about|around|early|late))*`+
		`(?:[ .:,'(-]*\d|[ .:,'(-]+(?:`+english+`|`+lists.Of("season")+`)(?:$|[^\pL]))`)
	yearTold = regexp.MustCompile(fullYear + ` ?(?:` + foldWords(lists.Of("behind a year of birth")) + `)` +
		`|(?:` + foldWords(lists.Of("before a year of birth")) + `) ` + fullYear)
)

// toldBirth finds a birth in words.
func toldBirth(t reading) string {
	if birthTold.in(t, t.folded) || birthSign.in(t, t.folded) || bornTold.in(t, t.unnumbered) ||
		t.digits >= 4 && yearTold.MatchString(t.folded) {
		return birth
	}
	return ""
}
