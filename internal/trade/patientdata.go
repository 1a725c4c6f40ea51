package trade

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// LongestNote is the longest note, in characters.
const LongestNote = 200

// CheckFreeText refuses free text that is too long, is not plain text, or looks
// like patient data: a date of birth, a phone or record number, an e-mail
// address. Empty text is fine. Nothing in the tool asks for patient data, and
// what is refused here is not stored or repeated anywhere.
//
// It is a net, not a proof: names go through it. It would rather refuse a note
// that could be reworded than let a number through.
//
// Errors: *FieldError, which says what the text looks like.
func CheckFreeText(field, text string) error {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	if !utf8.ValidString(text) {
		return Refuse(field, "is not readable text (UTF-8)")
	}
	if utf8.RuneCountInString(text) > LongestNote {
		return Refuse(field, "is longer than %d characters", LongestNote)
	}
	if err := CheckCharacters(field, text); err != nil {
		return err
	}
	return RefusePatientData(field, text)
}

// RefusePatientData returns a *FieldError for text that looks like it.
func RefusePatientData(field, text string) error {
	if what := PatientData(text); what != "" {
		return Refuse(field, "looks like %s; no patient data is kept here, please leave it out", what)
	}
	return nil
}

// PatientData names the patient data that a text looks like ("a date of birth"),
// "" for none.
func PatientData(text string) string {
	text = plainDigits(text)
	switch {
	case emailAddress.MatchString(text):
		return "an e-mail address"
	case birthWord.MatchString(text):
		return "a date of birth"
	case recordWord.MatchString(text):
		return "a record number"
	}
	old, rest := takeDates(text)
	if old {
		return "a date of birth"
	}
	rest = lotNumber.ReplaceAllString(rest, " ")
	for _, run := range digitRun.FindAllString(rest, -1) {
		if what := personalNumber(run); what != "" {
			return what
		}
	}
	return ""
}

// plainDigits writes every decimal digit of every script as 0–9, and full-width
// and other marks that stand for @ . - as those.
func plainDigits(text string) string {
	marks := strings.NewReplacer("＠", "@", "．", ".", "－", "-", "‐", "-", "‑", "-", "–", "-", "—", "-", "\u00a0", " ", "\u202f", " ")
	return marks.Replace(strings.Map(func(r rune) rune {
		if r > unicode.MaxASCII && unicode.IsDigit(r) {
			return '0' + digitValue(r)
		}
		return r
	}, text))
}

// digitValue counts back to the zero of the digit's own row: the rows of
// decimal digits in Unicode are ten long and begin with their zero.
func digitValue(r rune) rune {
	value := rune(0)
	for value < 9 && unicode.IsDigit(r-value-1) {
		value++
	}
	return value
}

var (
	emailAddress = regexp.MustCompile(`[^\s@]+ ?@ ?[^\s@]+\.[^\s@]+`)

	birthWord = regexp.MustCompile(`(?i)\b(?:d\.? ?o\.? ?b\b|born\b|birth ?da(?:y|te)|date of birth|geb(?:oren|\.)|née?\b.*\d)`)

	// Words that announce somebody's number, with a number behind them.
	recordWord = regexp.MustCompile(`(?i)\b(?:mrn|nhs|nhi|ssn|medicare|passport|insurance|` +
		`(?:patient|pt|record|chart|hospital|file|case|client|medical record)(?: ?(?:id|no|nr|num|number|file|record)\b| ?#|[:.])+)[^\d\n]{0,12}\d{2,}` +
		`|\b(?:patient|pt)\b[ .:#]{1,3}\d{3,}`)

	// Numbers of boxes, not of people.
	lotNumber = regexp.MustCompile(`(?i)\b(?:lot|batch|ref|sn)\b[ .:#]{0,3}(?:no\.? ?)?[\dA-Z-]+`)

	// Digits in groups, as numbers of people are written: one kind of break
	// between groups, perhaps a + before and the area in brackets.
	digitRun = regexp.MustCompile(`\+?\(?\d+(?:[ ./()-]{1,3}\d+)*`)
)

// personalNumber says what a run of digits looks like. Groups like "0.45 0.50"
// or "10 20 30" are times and are let through.
func personalNumber(run string) string {
	if decimals.MatchString(run) {
		return ""
	}
	digits := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, run)
	switch n := len(digits); {
	case strings.HasPrefix(run, "+") && n >= 7, strings.ContainsAny(run, "(") && n >= 7:
		return "a phone number"
	case phoneGroups.MatchString(run):
		return "a phone number"
	case n == len(run) && n >= 7:
		return "a phone or record number"
	case n >= 9:
		return "a phone or record number"
	}
	return ""
}

var (
	// Decimal numbers one after the other: measured times.
	decimals = regexp.MustCompile(`^\d{1,3}\.\d{1,3}(?:[ /-]{1,2}\d{1,3}(?:\.\d{1,3})?)*$|^\d{1,3}(?:[ /-]{1,2}\d{1,3}\.\d{1,3})+$`)

	// 555-0101 and 07700 900-123: short numbers by the look of their groups.
	phoneGroups = regexp.MustCompile(`^\d{3}-\d{4}$|^0\d{2,4}[ /-]\d{3,4}[ -]?\d{2,4}$`)
)

// A full date before this year reads as a date of birth: no box and no test of
// the trade is that old, and nobody younger is treated (project's choice).
const oldestDate = 2012

// takeDates cuts full dates out of a text and says whether one is old enough to
// be somebody's birth. Two-digit years from 30 on are 1930–1999, those from 13
// to 29 are recent.
func takeDates(text string) (old bool, rest string) {
	rest = text
	for _, pattern := range fullDates {
		rest = pattern.ReplaceAllStringFunc(rest, func(date string) string {
			year := yearOf(digitsOnly.FindAllString(date, -1))
			old = old || year >= 1900 && year < oldestDate
			return " · "
		})
	}
	return old, rest
}

// yearOf returns the year among the digits of a date: the group of four, the
// first four of eight, or else the last group.
func yearOf(groups []string) int {
	year := groups[len(groups)-1]
	for _, group := range groups {
		if len(group) >= 4 {
			year = group[:4]
		}
	}
	switch n, _ := strconv.Atoi(year); { // digits only: cannot fail
	case n < 30:
		return 2000 + n
	case n < 100:
		return 1900 + n
	default:
		return n
	}
}

const month = `(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?`

var (
	digitsOnly = regexp.MustCompile(`\d+`)

	// Dates with day, month and year, in the orders they are written in.
	fullDates = [...]*regexp.Regexp{
		regexp.MustCompile(`\b(?:19|20)\d\d ?[-/.] ?\d{1,2} ?[-/.] ?\d{1,2}\b`),
		regexp.MustCompile(`\b(?:19|20)\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])\b`),
		regexp.MustCompile(`\b(?:0?[1-9]|[12]\d|3[01]) ?[-/.] ?(?:0?[1-9]|[12]\d|3[01]) ?[-/.] ?(?:(?:19|20)\d\d|\d\d)\b`),
		regexp.MustCompile(`(?i)\b\d{1,2}(?:st|nd|rd|th)?[ .-]{0,2}(?:of )?` + month + `,?[ -]{0,2}(?:(?:19|20)\d\d|'?\d\d)\b`),
		regexp.MustCompile(`(?i)\b` + month + ` ?\d{1,2}(?:st|nd|rd|th)?,? ?(?:(?:19|20)\d\d|'\d\d)\b`),
	}
)
