package patientdata

import "regexp"

var (
	birthTold = atWord(lists.Of("birth"), ``)
	birthSign = wholeWord(lists.Of("birth sign"), ``)
	bornTold  = atWord(lists.Of("born"), `(?:[ .:,'(-]+(?:\pL{1,3}|about|around|early|late))*`+
		`(?:[ .:,'(-]*\d|[ .:,'(-]+(?:`+english+`|`+lists.Of("season")+`)(?:$|[^\pL]))`)
	yearTold = regexp.MustCompile(`(?:19|20)\d\d ?(?:(?:г\. ?р|р\. ?н|г\. рожд|года? рожд|doğ|doğumlu|生まれ|年生|년생)|dogumlu|geboren|born|birth|szuletesu)|(?:classe|rocznik|rocnik|arskull|arsklass) (?:19|20)\d\d|(?:19|20)\d\d-?[bn][ae]n (?:szul|született|szuletett)`)
)

// toldBirth finds a birth that is told in words.
func toldBirth(t reading) string {
	if birthTold.in(t, t.folded) || birthSign.in(t, t.folded) || bornTold.in(t, t.unnumbered) || t.digits >= 4 &&
		yearTold.MatchString(t.folded) {
		return birth
	}
	return ""
}
