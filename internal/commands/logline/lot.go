package logline

import (
	"regexp"
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// lotNumber has a digit in it, and no stroke or hyphen at its ends.
const lotNumber = `(?:[a-z0-9][a-z0-9/-]*)?\d(?:[a-z0-9/-]*[a-z0-9])?`

var (
	lot    = regexp.MustCompile(`\b(?:lot|batch)\s*(?:no\.?|nr\.?|number|#|:)?\s*(` + lotNumber + `)`)
	expiry = regexp.MustCompile(`\b(?:exp(?:iry|ires|ired|iration)?|use by|best before|bb)\b\.?(?:\s*date)?\s*[:=]?\s*(` +
		quantity.ExpiryDate + `)`)
)

// readLot takes out the lot and its expiry. A date that can be read in two ways goes into the note.
func (r *reader) readLot() {
	if m := lot.FindSubmatchIndex(r.plain); m != nil {
		r.Lot.Number = r.typed[m[2]:m[3]]
		r.take(m[0], m[1])
	}
	if m := expiry.FindSubmatchIndex(r.plain); m != nil {
		date := r.typed[m[2]:m[3]]
		all := r.take(m[0], m[1])
		var err error
		if r.Lot.Expires, err = quantity.Expiry(date); err != nil {
			r.addNote(all)
		}
	}
}

// TakeLot reads the lot in a line, and returns it with the rest of the line.
func TakeLot(text string) (trade.Lot, string) {
	r := newReader(text, question.NewIndex(nil, nil, nil), time.Time{})
	if r.readLot(); r.Lot == (trade.Lot{}) || r.Note != "" {
		return trade.Lot{}, text
	}
	return r.Lot, strings.Join(r.left(), ", ")
}

// readLot reads a lot that is typed alone: "A12", "lot A12, exp 03/2026".
//
// Errors: *quantity.Problem, *trade.FieldError.
func readLot(text string) (trade.Lot, error) {
	r := newReader(text, question.NewIndex(nil, nil, nil), time.Time{})
	r.readLot()
	left := r.left()
	if r.Lot.Number == "" && len(left) == 1 {
		r.Lot.Number, left = left[0], nil
	}
	if len(left) > 0 || r.Note != "" {
		return trade.Lot{}, &quantity.Problem{Text: text, Why: "Write it as on the box, like A12 exp 03/2026."}
	}
	return r.Lot, r.Lot.Filled().Validate()
}
