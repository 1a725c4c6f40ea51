package trade

import (
	"strings"
	"unicode/utf8"

	"holdbench/internal/patientdata"
)

// LongestNote is the longest note, in characters.
const LongestNote = 200

// CheckFreeText refuses free text that is too long, is not plain text, or looks
// like patient data: a date of birth, a phone or record number, an e-mail
// address. Empty text is fine. Nothing in the tool asks for patient data, and
// what is refused here is not stored or repeated anywhere.
//
// A doubtful text passes: whoever takes texts in asks first, and a file that holds
// one is at fault there.
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
	if found := patientdata.Look(text); found.Verdict == patientdata.Refused {
		return Refuse(field, "looks like %s; no patient data is kept here, please leave it out", found.Kind)
	}
	return nil
}
