package patientdata

import (
	"regexp"
	"strings"
)

// titles stand before a name.
const titles = `mrs|mr|ms|miss|mme|mlle|madame|monsieur|frau|herr|hr|fr|sra|señora|señor|srta|sig\.?ra|signora|signor|
dhr|mevr|mevrouw|
meneer|pani|pan|paní|fru|rouva|doamna|domnul|г-жа|г-н|κα|κυρία|κύριος|bayan`

// patientNouns are words for a patient that are hardly ever said of anything else.
const patientNouns = `patientin|patientinnen|patiente|patientes|paciente|pacientes|paziente|pazienti|patienten|
patientens|
pasienten|pasientens|potilas|potilaa|pacjent|pacient|pacijent|пациент|пацієнт|ασθεν|hastanin|hastada|hastam`

// englishPatient is somebody treated, in a word that is also an adjective, or said
// of patients at large.
const englishPatient = `patients?|pts?|clients?|customers?|klantin|klant|kundin|clienta`

// whose words before it say that one person is meant.
const whose = `my|our|his|her|this|that|same|last|first|second|third|next|new|today's|yesterday's|young|old|older|
elderly|male|female|
regular|lip|nose|returning|one|1st|2nd|3rd|4th|5th|mijn|deze|min|ma|mon|notre|meine?|unsere?`

// after words behind it tell what became of one.
const after = `had|has|said|says|felt|was|is|came|asked|complain\pL*|bruis\pL*|moved|bled|reacted|lips?|cheeks?|nose|
chin|tear|hat|war`

// face words are where gels go.
const face = `lips?|cheeks?|nose|chin|temples?|forehead|face|jaw|eyes?|lippen?|wangen?|nase|kinn|levres?|joues?|nez|
labios?|mejillas?|labbra|guance|usta|губы`

// places of a face that no bench has.
const places = `nasolabial|naso-labial|tear trough|marionette|philtrum|vermilion|cheekbone|jawline|perioral|
periorbital|glabella|nasolabialfalte|sillon nasog|surco nasog|solco nasog`

// negations: "nothing of this on a patient" is a note of the bench.
const negations = `no|not|never|nothing|none|without|non|kein|keine|keiner|keinem|keinen|nicht|nie|ohne|pas|sans|
jamais|aucun|aucune|
nunca|ningun|ninguna|sin|mai|senza|nessun|nessuna|niet|geen|nooit|inte|ingen|aldrig|ikke|ei|bez|не|без|нет|δεν|οχι|
degil|yok`

var (
	titleTold = atWord(titles, `\.? `)
	titled    = regexp.MustCompile(`(?:^|[^\pL])(?i:` + strings.ReplaceAll(titles, "\n", "") + `)\.? ?\p{Lu}\pL*`)

	patientTold = [...]words{
		atWord(patientNouns, ``),
		wholeWord(`the lady|the woman|the man|the girl`, ``),
		wholeWord(whose, `(?:\pL+ )?(?:`+englishPatient+`)(?:$|[^\pL])`),
		wholeWord(`a|the|an`, `(?:\pL+ )?(?:`+englishPatient+`)(?:$|[^\pL])`),
		wordBehind(`on|in|into|with`, englishPatient, `(?:'s)?(?:$|[^\pL])`),
		wholeWord(`left|right|upper|lower|links|rechts|linke|rechte|gauche|droite|izquierda|derecha`,
			`(?:`+face+`|cheekbone|jawline|eyelid)(?:$|[^\pL])`),
		atWord(places, ``),
		atWord(englishPatient, `(?:'s)? (?:`+after+`)(?:$|[^\pL])`),
		wholeWord(`her|his|ihr|ihre|ihrer|seine|seiner|sa|ses|su|sus|suo|sua|jej|jego|её|ее|его`,
			`(?:(?:left|right|upper|lower|linke?n?|rechte?n?) )?(?:`+face+`)(?:$|[^\pL])`),
		atWord(`injected|treated|saw|consented`, ` (?:her|him|an? (?:\pL+ )?(?:woman|man|lady|girl))(?:$|[^\pL])`),
	}
	nobody = wholeWord(negations, ``)

	patientBegin = atWord(`patient|pt|client|paciente|paziente|pacjentka|пациентка`, `[ .:]`)
	namedPatient = regexp.MustCompile(`(?:^|[^\pL])(?i:patient|pt|patientin|client|paciente|paziente|patiënte?|pacjentka|пациентка)[ .:]{1,2}` +
		`(?:\p{Lu}\.|\p{Lu}{1,2}(?:$|[^\pL\pN])|\p{Lu}\p{Ll}+)`)
)

// toldPerson finds words that people use of whom they treat.
func toldPerson(t reading) string {
	if titleTold.in(t, t.folded) && titled.MatchString(t.plain) || patientBegin.in(t, t.folded) &&
		namedPatient.MatchString(t.plain) {
		return about
	}
	text := patience.ReplaceAllString(t.folded, " · ")
	for _, pattern := range patientTold {
		if pattern.in(t, text) && !nobody.in(t, text) {
			return about
		}
	}
	return ""
}
