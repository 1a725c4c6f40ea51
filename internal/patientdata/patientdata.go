// Package patientdata tells from a text alone whether it looks like somebody's
// data. It knows words and shapes, no store and no surface.
//
// It is a net, not a proof: bare names go through it, and so does whatever is
// told in words that no table here has. docs/privacy.md says how much it lets
// through of two lists of notes.
package patientdata

import "strings"

// Verdict is what is to be done with a text.
type Verdict int

// The verdicts, in rising order.
const (
	Clear    Verdict = iota
	Doubtful         // whoever wrote it has to say whether it is about a patient
	Refused          // not to be kept
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

// Look returns what a text looks like. The surest kind is named first; a doubt
// counts where nothing is sure.
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
