package patientdata

import "regexp"

// birthWords announce a date of birth whatever stands beside them.
const birthWords = `d\. ?o\. ?b|d\.o\.b|d/o/b|birth ?day|birth ?date|date of birth|year of birth
geburtsdatum|geburtstag|geburtsjahr|geb\.-?datum|geb\.dat|date de naissance|naissance
fecha de nacimiento|nacimiento|fec\. ?nac|f\. ?nac|f\. ?de nac|data de nascimento|nascimento|data di nascita|nascita
geboortedatum|geboortejaar|gebdat|födelsedatum|födelsedag|fødselsdato|fødselsdag|fødselsår|syntymäaika|syntymävuosi|
syntymäpäivä|fæðingardag
data urodzenia|rok urodzenia|datum narozeni|dátum narodenia|születési|szül\.|szülinap|data nasterii|data naşterii
datum rođenja|datum rodenja|datum rojstva|sünniaeg|sünnikuupäev|dzimšanas|gimimo|ημερομηνια γεννησησ|ημ\. ?γεν
дата рождения|день рождения|год рождения|г\. ?р\.|д\. ?р\.|дата на раждане|дата народження|датум рођења|датум на раѓање
doğum tarihi|doğumlu|doğum günü|dáta breithe|dyddiad geni|data de naixement|jaiotze-?data|datëlindja|data e lindjes
تاريخ الميلاد|مواليد|תאריך לידה|जन्म|出生|生年月日|生日|誕生日|생년월일|ngày sinh|tanggal lahir`

// birthSigns are short for a date of birth, as words of their own.
const birthSigns = `dob|yob|ddn`

// bornWords say that somebody was born where a number, a month or a season
// follows: a needle may be born slightly bent.
const bornWords = `born|b\.|geboren|geb\.?|jahrgang|jg\.?|nee? le|nee? en|nee? a|nacid[oa]|nacid[oa] en|nacio|
nascid[oa]|nasceu|nat[oa] il|nat[oa] nel|nat[oa]|
född|födda|født|f\.|synt\.?|syntynyt|fædd|fæddur|urodzon[ya]|urodzil|ur\.|narozen[ay]?|nar\.|narodeny|narodena|
született|szül|
nascut[a]?|născut|rođen[a]?|roden[a]?|rojen[a]?|sündinud|sünd|dzimis|dzimusi|gimęs|gimes|gimusi|
роден[а]?|родил(?:ся|ась)|рожд|народ(?:ився|илася|ж)|рођен[а]?|γεννηθηκε|γεννημεν[οη]σ?|γεν\.|lindur|ganed|naixement|
nascuda|nascut|d\. ?n\.`

const season = `spring|summer|autumn|winter|fall|wartime`

var (
	birthTold = atWord(birthWords, ``)
	birthSign = wholeWord(birthSigns, ``)
	bornTold  = atWord(bornWords, `(?:[ .:,'(-]+(?:\pL{1,3}|about|around|early|late))*`+
		`(?:[ .:,'(-]*\d|[ .:,'(-]+(?:`+english+`|`+season+`)(?:$|[^\pL]))`)
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
