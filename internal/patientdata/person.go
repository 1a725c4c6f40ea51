package patientdata

import "regexp"

var (
	titleTold = atWord(lists.Of("title"), `\.? `)
	smallName = atWord(lists.Of("title in small letters"), `\.? \pL{3}`)
	titled    = regexp.MustCompile(`(?:^|[^\pL])(?i:` + lists.Of("title") + `)\.? ?\p{Lu}\pL*`)

	patientTold = [...]words{
		atWord(lists.Of("patient noun"), ``),
		wordBehind(`the `, `lady|woman|man|girl`, `(?:$|[^\pL\pN])`),
		wordBehind(`(?:`+lists.Of("whose")+`)(?:$|[^\pL\pN])(?:\pL+ )?`, lists.Of("english patient"), `(?:$|[^\pL])`),
		wordBehind(`(?:a|the|an)(?:$|[^\pL\pN])(?:\pL+ )?`, lists.Of("english patient"), `(?:$|[^\pL])`),
		wordBehind(`(?:on|in|into|with) `, lists.Of("english patient"), `(?:'s)?(?:$|[^\pL])`),
		wholeWord(lists.Of("side of a face"), `(?:`+lists.Of("face")+`|cheekbone|jawline|eyelid)(?:$|[^\pL])`),
		atWord(lists.Of("place of a face"), ``),
		atWord(lists.Of("english patient"), `(?:'s)? (?:`+lists.Of("after patient")+`)(?:$|[^\pL])`),
		wholeWord(lists.Of("her or his"),
			`(?:(?:left|right|upper|lower|linke?n?|rechte?n?) )?(?:`+lists.Of("face")+`)(?:$|[^\pL])`),
		atWord(`injected|treated|saw|consented`, ` (?:her|him|an? (?:\pL+ )?(?:woman|man|lady|girl))(?:$|[^\pL])`),
	}
	nobody = wholeWord(lists.Of("negation"), ``)

	patientBegin = atWord(`patient|pt|client|paciente|paziente|pacjentka|пациентка`, `[ .:]`)
	namedPatient = regexp.MustCompile(`(?:^|[^\pL])` +
		`(?i:patient|pt|patientin|client|paciente|paziente|patiënte?|pacjentka|пациентка)[ .:]{1,2}` +
		`(?:\p{Lu}\.|\p{Lu}{1,2}(?:$|[^\pL\pN])|\p{Lu}\p{Ll}+)`)
)

// toldPerson finds words that people use for those they treat.
func toldPerson(t reading) string {
	if titleTold.in(t, t.folded) && titled.MatchString(t.plain) || smallName.in(t, t.folded) ||
		patientBegin.in(t, t.folded) && namedPatient.MatchString(t.plain) {
		return about
	}
	text := t.withoutPatience()
	for _, pattern := range patientTold {
		if pattern.in(t, text) && !nobody.in(t, text) {
			return about
		}
	}
	return ""
}
