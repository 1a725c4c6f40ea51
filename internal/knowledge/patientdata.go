package knowledge

import (
	"slices"
	"strings"
	"unicode/utf8"

	"holdbench/internal/patientdata"
)

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
		return refuse(field, "is not readable text (UTF-8)")
	}
	if utf8.RuneCountInString(text) > maxNote {
		return refuse(field, "is longer than %d characters", maxNote)
	}
	if err := checkCharacters(field, text); err != nil {
		return err
	}
	return refusePatientData(field, text)
}

// refusePatientData returns a *FieldError for text that looks like it.
func refusePatientData(field, text string) error {
	if found := patientdata.Look(text); found.Verdict == patientdata.Refused {
		return refuse(field, "looks like %s; no patient data is kept here, please leave it out", found.Kind)
	}
	return nil
}

// writtenColumns are the columns of files in which people write what they like.
const writtenColumns = "name aliases liquid note reason"

// refuseDoubt returns a *FieldError for a cell of which nobody can be asked whether
// it is about a patient.
func refuseDoubt(field, text string) error {
	if !slices.Contains(strings.Fields(writtenColumns), field) {
		return nil
	}
	if found := patientdata.Look(text); found.Verdict == patientdata.Doubtful {
		return refuse(field, "may be %s, and a file cannot be asked; please write it in other words", found.Kind)
	}
	return nil
}
