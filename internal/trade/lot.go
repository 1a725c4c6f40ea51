package trade

import (
	"regexp"
	"strings"
	"time"
)

// Lot is what a box says of its gel. Either part may be empty: not noted.
type Lot struct {
	Number  string // capital letters and digits, with - . / between them
	Expires string // 2006-01, good to the end of that month, or 2006-01-02
}

var lotNumber = regexp.MustCompile(`^[A-Z0-9](?:[A-Z0-9./-]{0,28}[A-Z0-9])?$`)

// Filled returns the lot in the spelling that is stored.
func (l Lot) Filled() Lot {
	return Lot{Number: strings.ToUpper(strings.TrimSpace(l.Number)), Expires: strings.TrimSpace(l.Expires)}
}

// Validate returns a *FieldError unless a box could say so. A number without a digit is a word, and
// could be somebody's name.
func (l Lot) Validate() error {
	if l.Number != "" && (!lotNumber.MatchString(l.Number) || !strings.ContainsAny(l.Number, "0123456789")) {
		return Refuse("lot", "%q is no lot number; write letters and digits, at most 30, like A12-4", l.Number)
	}
	for _, form := range []string{"2006-01", time.DateOnly} {
		if _, err := time.Parse(form, l.Expires); err == nil || l.Expires == "" {
			return nil
		}
	}
	return Refuse("expiry", "%q is not an expiry date; write it like 2026-03 or 2026-03-14", l.Expires)
}

// OutOn reports whether the lot has expired by a day, 2006-01-02.
func (l Lot) OutOn(day string) bool {
	return l.Expires != "" && day[:min(len(day), len(l.Expires))] > l.Expires
}

// String is the lot in words, "lot A12, exp 2026-03"; "" where nothing is noted.
func (l Lot) String() string {
	var parts []string
	if l.Number != "" {
		parts = append(parts, "lot "+l.Number)
	}
	if l.Expires != "" {
		parts = append(parts, "exp "+l.Expires)
	}
	return strings.Join(parts, ", ")
}
