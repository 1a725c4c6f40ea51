package patientdata

import (
	"regexp"
	"strings"
)

// recordWords announce somebody's number where a number follows.
const recordWords = `mrn|nhs|nhi|ssn|medicare|medicaid|passport|insurance|chi no|hospital no|hospital number|
hospital id|emr|ehr
patientennummer|patientennr|pat\. ?-? ?nr|patnr|patienten-?id|fallnummer|fall-?nr|aktenzeichen|versichertennummer|
versicherten-?nr|versnr|kvnr|kv-nr|krankenkasse|ahv|svnr|sv-nr|ausweis
dossier|numero de dossier|dossiernr|no dossier|n° dossier|num dossier|secu|securite sociale|carte vitale|nir|ipp|
numero patient
historia clinica|historia|nhc|hc|dni|nie|nif|expediente|tarjeta sanitaria|seguridad social|prontuario|processo|utente|
cpf|numero de utente
cartella|cartella clinica|codice fiscale|cod\. ?fisc|tessera sanitaria|bsn|patientnummer|dossiernummer|zorgpas|
rijksregisternummer
personnummer|pnr|journalnr|journalnummer|journal nr|cpr|cpr-nr|fødselsnummer|fodselsnummer|henkilötunnus|hetu|
potilasnumero|potilasnro|kennitala
pesel|karta pacjenta|nr karty|kartoteka|rodne cislo|r\. ?c\.|rc\.|cislo pojistence|taj|cnp|fisa|oib|jmbg|emso|
isikukood|haigusloo|personas kods|asmens kodas
егн|снилс|инн|паспорт|полис|амка|αμκα|αφμ|история болезни|карта пациента|номер пациента|номер карты|рнокпп|еик|
tc kimlik|tc no|t\. ?c\. ?kimlik|dosya no|protokol no|pps|ppsn|nino|national insurance|health card`

// holders are people and their papers: with "number" or the like behind, a number
// follows that is somebody's.
const holders = `patient|pt|pat|record|chart|hospital|case|client|customer|medical record|patient file|patient record|
paciente|paziente|patientin|pasient|potilas|pacjent|pacient|pacijent|пациент|hasta`

// numberOf is between the word and the number.
const numberOf = `[^\pN\n]{0,14}`

var (
	recordTold = wholeWord(recordWords, numberOf+`\d[\d ./-]*`)
	holderTold = atWord(holders, `[ .:#-]*(?:(?:id|no|nr|num|number|numero|nummer|nº|n°|file|record|номер)\b[ .:#-]*|[#:.])[^\d\n]{0,12}(\d{2,}) ?(\pL*)`)
	holderBare = atWord(`patient|pt|client|chart|record|akte|tarjeta|journal|karta|karta nr|hosp no`, `[ .:#]{1,3}(\d{3,}) ?(\pL*)`)
	patience   = regexp.MustCompile(`\b(?:be|was|were|is|am|are|being|stay|stayed|very|more|so|too|been|keep|soyez|sois|etre|seien sie|sei|ser|muy|mas)\s+(?:very )?pa[tcz][a-z]*`)

	// Numbers of people by their shape alone.
	shapes = regexp.MustCompile(`\b(?:[a-z]{6}\d\d[a-z]\d\d[a-z]\d{3}[a-z]|\d{6}[-+a]\d{3,4}[a-z]?|[xyz]?\d{7,8}-?[a-hj-np-tv-z]|[a-z]{2} ?\d\d ?\d\d ?\d\d ?[abcd])\b`)

	// Words of calling, with a number behind.
	phoneTold = wholeWord(`tel|tél|telefon|telephone|téléphone|telefono|teléfono|telefone|phone|mobile|mob|cell|handy|portable|móvil|movil|telemóvel|cellulare|gsm|whatsapp|
call her on|call him on|text her|natel|puhelin|puh|telefón|тел|телефон|моб|τηλ|κιν|cep|rufnummer|nummer|komorka|
komórka|mobil|matkapuhelin`,
		`[^\d\n]{0,14}(\+?\(?\d(?:[ ./()-]{0,3}\d){4,})`)

	// Digits in groups, as numbers of people are written: one kind of break
	// between groups, perhaps a + before and the area in brackets.
	digitRun = regexp.MustCompile(`\+?\(?\d+(?:[ ./()-]{1,3}\d+)*`)

	// Decimal numbers one after the other, and whole ones of two digits: measured
	// times.
	decimals = regexp.MustCompile(`^\d{1,3}\.\d{1,3}(?:[ /-]{1,2}\d{1,3}(?:\.\d{1,3})?)*$|^\d{1,3}(?:[ /-]{1,2}\d{1,3}\.\d{1,3})+$`)
	tens     = regexp.MustCompile(`^[1-9]\d?(?: [1-9]\d?)+$`)

	// 555-0101 and 07700 900-123: short numbers by the look of their groups.
	phoneGroups = regexp.MustCompile(`^\d{3}-\d{4}$|^0\d{2,4}[ /-]\d{3,4}[ -]?\d{2,4}$`)
)

// toldRecord finds a number behind a word that announces somebody's.
func toldRecord(t reading) string {
	if t.digits == 0 {
		return ""
	}
	if recordTold.in(t, t.folded) {
		return record
	}
	text := patience.ReplaceAllString(t.folded, " · ")
	for _, pattern := range [...]words{holderTold, holderBare} {
		if !pattern.mayBeIn(t) {
			continue
		}
		for _, found := range pattern.pattern.FindAllStringSubmatch(text, -1) {
			if !timeUnit.MatchString(found[2]) {
				return record
			}
		}
	}
	return ""
}

var timeUnit = regexp.MustCompile(`^(?:s|sec|secs|seconds?|min|mins|minutes?|ms|sek|ml|mm|g|fps)$`)

// leastOfNumber is how many digits the shortest number of a person has.
const leastOfNumber = 5

// personalNumber finds a number that is written as people's are.
func personalNumber(t reading) string {
	if t.digits < leastOfNumber {
		return ""
	}
	if phoneTold.in(t, t.rest) {
		return phone
	}
	if shapes.MatchString(t.rest) {
		return record
	}
	for _, run := range digitRun.FindAllString(t.rest, -1) {
		if kind := ofRun(run); kind != "" {
			return kind
		}
	}
	return ""
}

// ofRun says what a run of digits looks like. Groups like "0.45 0.50" or "10 20
// 30" are times and are let through.
func ofRun(run string) string {
	if decimals.MatchString(run) || tens.MatchString(run) {
		return ""
	}
	digits := strings.Join(digitsOnly.FindAllString(run, -1), "")
	switch n := len(digits); {
	case strings.HasPrefix(run, "+") && n >= 7, strings.ContainsAny(run, "(") && n >= 7:
		return phone
	case phoneGroups.MatchString(run):
		return phone
	case n == len(run) && n >= 7, n >= 9:
		return number
	}
	return ""
}

// digitWords are the digits in words; a bench note may have a few in a row, a
// number of a person has more.
const digitWords = `plus|zero|oh|nought|one|two|three|four|five|six|seven|eight|nine|double|triple|hundred
null|eins|zwei|zwo|drei|vier|fünf|sechs|sieben|acht|neun|doppel|un|deux|trois|quatre|cinq|sept|huit|neuf|zéro
cero|uno|dos|tres|cuatro|cinco|seis|siete|ocho|nueve|um|dois|três|quatro|sete|oito|nove|due|tre|quattro|cinque|sei|
sette|otto
nul|een|twee|drie|vijf|zes|zeven|negen|noll|ett|två|fyra|fem|sex|sju|åtta|nio|en|to|fire|seks|syv|otte|åtte|ni|zwo
jeden|dwa|trzy|cztery|pięć|sześć|siedem|osiem|dziewięć|nula|jedna|dva|tři|čtyři|pět|šest|sedm|osm|devět
ноль|один|два|три|четыре|пять|шесть|семь|восемь|девять|sıfır|bir|iki|üç|dört|beş|altı|yedi|sekiz|dokuz`

// mostSpoken is how many digits in words a note of the bench may have in a row
// (project's choice).
const mostSpoken = 6

// spokenDigits are the words of digitWords.
func spokenDigits() map[string]bool {
	spoken := map[string]bool{}
	for _, word := range strings.Split(foldWords(digitWords), "|") {
		spoken[word] = true
	}
	return spoken
}

var spoken = spokenDigits()

// spokenNumber finds a number of more than mostSpoken digits in words.
func spokenNumber(t reading) string {
	row := 0
	for word := range strings.FieldsFuncSeq(t.folded, func(r rune) bool { return strings.ContainsRune(" ,.-", r) }) {
		if row++; !spoken[word] {
			row = 0
		}
		if row > mostSpoken {
			return number
		}
	}
	return ""
}
