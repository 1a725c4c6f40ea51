package patientdata

import "regexp"

// grownUp is an adult's age. Nobody younger is treated: a smaller number of years is a box's or a camera's (project's
// choice).
const grownUp = `(?:1[6-9]|[2-9]\d|10\d)`

const (
	sexes    = `f|m|w|female|male|woman|man|lady|frau|mann|femme|homme|mujer|hombre|donna|uomo|♀|♂`
	sex      = `(?:` + sexes + `)`
	initials = `(?:\p{Lu}\. ?-?\p{Lu}\.?(?: ?\p{Lu}\.)?|\p{Lu}{2,3}|\p{Lu}\.)`
	apart    = `[ ,;:/(-]{1,3}`
	alone    = `(?:^|[^\pL\pN.])`
	end      = `(?:$|[^\pL])`
)

var (
	ageUnit = `[ -]{0,2}(?:y[./]{1,2}o\.?|v-?vuotias|(?:` + lists.Of("age unit") + `)\.?)` + end

	agedInitials = [...]*regexp.Regexp{
		regexp.MustCompile(alone + initials + apart + `(?i:` + lists.Of("age") + `|âgée?|età)[ :]{0,2}` + grownUp +
			`(?:$|[^\pN.])`),
		regexp.MustCompile(alone + initials + apart + grownUp +
			`(?i:` + ageUnit + `|[ -]?(?:jährig\pL*|år|años|éves|yaş\pL*)` + end + `)`),
		regexp.MustCompile(alone + grownUp + `(?i:` + ageUnit + `|[ ,]*` + sex + `)[ ,;:/(-]{0,3}` + initials +
			`(?:$|[^\pL\pN])`),
		regexp.MustCompile(alone + `\p{Lu}\. ?-?\p{Lu}\.?` + apart + grownUp +
			`(?:$|[,;.)]|[ ]*(?i:` + sex + `)` + end + `)`),
	}
	capitals     = regexp.MustCompile(`\p{Lu}[.\p{Lu}]`)
	bareInitials = regexp.MustCompile(alone + `(?:\p{Lu}\. ?\p{Lu}\.|\p{Lu}{2})` + apart + grownUp +
		` ?(?i:` + sex + `)` + end)

	agedBegin    = words{begin: beginningsOf(foldWords(lists.Of("age unit")+`|`+lists.Of("age")+`|`+sexes), ` `)}
	agedSomebody = regexp.MustCompile(alone + `(?:` + grownUp + ageUnit +
		`|(?:` + lists.Of("age") + `)[ :]{1,2}` + grownUp + `(?:$|[^\pN.])` +
		`|` + sex + `[ ,/]{1,2}` + grownUp + `(?:$|[,;]| y)` +
		`|` + grownUp + ` ?(?:f|m|w|♀|♂)(?:$|[,;]| lip| nas| cheek| chin))`)

	// Things have an age too.
	agedThing = regexp.MustCompile(`(?:past|over|expired|expiry|warranty|camera|phone|box|gel|syringe|fridge)[^,;]{0,20}$`)
	thingAged = regexp.MustCompile(`^[^,;]{0,12}(?:past|expired|camera|phone|fridge)`)

	// roomTemperature is what looks like initials with an age and a sex.
	roomTemperature = regexp.MustCompile(`(?i)\b(?:rt|temp|temperature|t|at|is|to|of|on)[ ,:]{1,2}\d{2,3} ?[FCM]\b`)
)

// initialsWithAge finds initials and a grown-up's age side by side.
func initialsWithAge(t reading) string {
	if t.digits < len("16") || !capitals.MatchString(t.plain) {
		return ""
	}
	for _, pattern := range agedInitials {
		if pattern.MatchString(t.plain) {
			return initial
		}
	}
	return ""
}

// loneInitials finds two letters with a number that may be an age with a sex, or a temperature.
func loneInitials(t reading) string {
	if t.digits >= len("16") && capitals.MatchString(t.plain) &&
		bareInitials.MatchString(roomTemperature.ReplaceAllString(t.plain, " · ")) {
		return initial
	}
	return ""
}

// toldAge finds a grown-up's age that is not a thing's.
func toldAge(t reading) string {
	if t.digits < len("16") || !agedBegin.mayBeIn(t) {
		return ""
	}
	text := roomTemperature.ReplaceAllString(t.folded, " · ")
	for _, at := range agedSomebody.FindAllStringIndex(text, -1) {
		if !agedThing.MatchString(text[:at[0]]) && !thingAged.MatchString(text[at[1]:]) {
			return about
		}
	}
	return ""
}
