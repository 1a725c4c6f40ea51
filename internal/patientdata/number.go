package patientdata

import (
	"regexp"
	"slices"
	"strings"
)

// numberOf is what may stand between the word and the number.
const numberOf = `[^\pN\n]{0,14}`

var (
	recordTold = wholeWord(lists.Of("record"), numberOf+`\d[\d ./-]*`)
	holderTold = atWord(lists.Of("holder"), `[ .:#-]*(?:(?:`+lists.Of("number word")+`)\b[ .:#-]*|[#:.])`+
		`[^\d\n]{0,12}(\d{2,}) ?(\pL*)`)
	holderBare = atWord(lists.Of("holder before a number"), `[ .:#]{1,3}(\d{3,}) ?(\pL*)`)
	patience   = regexp.MustCompile(`\b(?:` + lists.Of("before the adjective patient") + `)\s+(?:very )?pa[tcz][a-z]*`)

	patienceBegin = beginningsOf(`pat|pac|paz`, ``)

	// Numbers of people by their shape alone.
	shapes = regexp.MustCompile(`\b(?:[a-z]{6}\d\d[a-z]\d\d[a-z]\d{3}[a-z]|\d{6}[-+a]\d{3,4}[a-z]?` +
		`|[xyz]?\d{7,8}-?[a-hj-np-tv-z]|[a-z]{2} ?\d\d ?\d\d ?\d\d ?[abcd])\b`)

	phoneTold = wholeWord(lists.Of("phone"), `[^\d\n]{0,14}(\+?\(?\d(?:[ ./()-]{0,3}\d){4,})`)

	// Digits in groups, as numbers of people are written, with a + before them or the area in brackets.
	digitRun = regexp.MustCompile(`\+?\(?\d+(?:[ ./()-]{1,3}\d+)*`)

	// Decimal numbers in a row, and whole ones of two digits: measured times.
	decimals = regexp.MustCompile(`^\d{1,3}\.\d{1,3}(?:[ /-]{1,2}\d{1,3}(?:\.\d{1,3})?)*$` +
		`|^\d{1,3}(?:[ /-]{1,2}\d{1,3}\.\d{1,3})+$`)
	tens = regexp.MustCompile(`^[1-9]\d?(?: [1-9]\d?)+$`)

	// 555-0101 and 07700 900-123: short numbers by the look of their groups.
	phoneGroups = regexp.MustCompile(`^\d{3}-\d{4}$|^0\d{2,4}[ /-]\d{3,4}[ -]?\d{2,4}$`)
)

// toldRecord finds a number behind a word that says it is somebody's.
func toldRecord(t reading) string {
	if t.digits == 0 {
		return ""
	}
	if recordTold.in(t, t.folded) {
		return record
	}
	for _, pattern := range [...]words{holderTold, holderBare} {
		if !pattern.mayBeIn(t) {
			continue
		}
		text := t.withoutPatience()
		for _, found := range pattern.pattern.FindAllStringSubmatch(text, -1) {
			if !timeUnit.MatchString(found[2]) {
				return record
			}
		}
	}
	return ""
}

// withoutPatience is the folded text without the adjective "patient": "be patient".
func (t reading) withoutPatience() string {
	if !patienceBegin.areIn(t.begins) {
		return t.folded
	}
	return patience.ReplaceAllString(t.folded, " · ")
}

var timeUnit = regexp.MustCompile(`^(?:s|sec|secs|seconds?|min|mins|minutes?|ms|sek|ml|mm|g|fps)$`)

// How many digits a person's number has at least: behind a word for calling, by its shape (two letters and six
// digits), and in groups (ofRun).
const (
	leastOfPhone = 5
	leastOfShape = 6
	leastOfRun   = 7
)

// personalNumber finds a number that is written as people's are.
func personalNumber(t reading) string {
	if t.digits >= leastOfPhone && phoneTold.in(t, t.rest) {
		return phone
	}
	if t.digits >= leastOfShape && shapes.MatchString(t.rest) {
		return record
	}
	if t.digits < leastOfRun {
		return ""
	}
	for _, run := range digitRun.FindAllString(t.rest, -1) {
		if kind := ofRun(run); kind != "" {
			return kind
		}
	}
	return ""
}

// ofRun says what a run of digits looks like, "" for times such as "0.45 0.50" or "10 20 30".
func ofRun(run string) string {
	if decimals.MatchString(run) || tens.MatchString(run) {
		return ""
	}
	digits := strings.Join(digitsOnly.FindAllString(run, -1), "")
	switch n := len(digits); {
	case strings.ContainsAny(run, "+(") && n >= leastOfRun, phoneGroups.MatchString(run):
		return phone
	case n == len(run) && n >= leastOfRun, n >= 9:
		return number
	}
	return ""
}

// mostSpoken is how many digits in words a bench note may have in a row (project's choice).
const mostSpoken = 6

// spoken are the digits in words.
var spoken = strings.Split(foldWords(lists.Of("digit")), "|")

// spokenNumber finds a number of more than mostSpoken digits in words.
func spokenNumber(t reading) string {
	row := 0
	apart := func(r rune) bool { return strings.ContainsRune(" ,.-", r) }
	for word := range strings.FieldsFuncSeq(t.folded, apart) {
		if row++; !slices.Contains(spoken, word) {
			row = 0
		}
		if row > mostSpoken {
			return number
		}
	}
	return ""
}
