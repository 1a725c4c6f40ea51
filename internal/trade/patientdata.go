package trade

import (
	"strings"

	"holdbench/internal/patientdata"
)

// LongestNote is the longest note, in characters.
const LongestNote = 200

// CheckFreeText refuses free text that is too long, is not plain text, or looks like patient data: a
// date of birth, a phone or record number, an e-mail address. Empty text is fine. The tool never
// asks for patient data, and what is refused here is not stored or repeated anywhere.
//
// A doubtful text passes. A chat asks about it before it gets here, and a file that has one is
// refused there.
//
// Errors: *FieldError, which says what the text looks like.
func CheckFreeText(field, text string) error {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	if err := CheckText(field, text, LongestNote); err != nil {
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
