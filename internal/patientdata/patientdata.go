// Package patientdata says of a text whether it looks like patient data. It knows words and shapes, no store and no
// surface.
//
// It does not find everything: it lets bare names through, and whatever is said in words that its tables do not have.
// docs/privacy.md says how much of two lists of notes it finds.
package patientdata

import "strings"

// Verdict is what is to be done with a text.
type Verdict int

// The verdicts, in rising order.
const (
	Clear    Verdict = iota
	Doubtful         // the writer has to say whether it is about a patient
	Refused          // must not be stored
)

// The kinds of data that are told apart.
const (
	birth   = "a date of birth"
	email   = "an e-mail address"
	phone   = "a phone number"
	record  = "a record number"
	number  = "a phone or record number"
	initial = "initials with an age"
	about   = "a note about a patient"
)

// Finding is what a text looks like.
type Finding struct {
	Verdict Verdict
	Kind    string // with its article, as in "a date of birth"; "" for a clear text
}

// Look returns what a text looks like: the first kind that is sure, or else the first that is doubtful.
func Look(text string) Finding {
	if strings.TrimSpace(text) == "" {
		return Finding{}
	}
	t := read(text)
	for _, sure := range [...]func(reading) string{writtenEmail, toldBirth, toldRecord, oldDate, personalNumber,
		spokenNumber, initialsWithAge} {
		if kind := sure(t); kind != "" {
			return Finding{Refused, kind}
		}
	}
	for _, doubt := range [...]func(reading) string{oldMonth, loneInitials, toldAge, toldPerson} {
		if kind := doubt(t); kind != "" {
			return Finding{Doubtful, kind}
		}
	}
	return Finding{}
}
