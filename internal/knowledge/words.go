package knowledge

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// fold returns the key under which a name is unique: letter case, spacing and
// ways to write the same character do not make two names.
func fold(name string) string {
	key := strings.ToLower(norm.NFKC.String(name))
	return strings.Join(strings.Fields(key), "")
}

// tidy trims a text and makes every run of spaces one.
func tidy(text string) string { return strings.Join(strings.Fields(text), " ") }

// checkText refuses text that is missing, too long, or not plain text.
func checkText(field, text string, most int) error {
	switch {
	case !utf8.ValidString(text):
		return refuse(field, "is not readable text (UTF-8)")
	case strings.TrimSpace(text) == "":
		return refuse(field, "is missing")
	case utf8.RuneCountInString(text) > most:
		return refuse(field, "is longer than %d characters", most)
	}
	return checkCharacters(field, text)
}

// checkName is checkText for a name that people choose: it must not look like
// patient data either.
func checkName(field, text string, most int) error {
	if err := checkText(field, text, most); err != nil {
		return err
	}
	if err := checkDrawn(field, text); err != nil {
		return err
	}
	return refusePatientData(field, text)
}

// checkCharacters refuses control characters, line breaks, and the marks that
// turn the direction of writing: none belongs in a name or a note, and they can
// make a line of a file look like another.
func checkCharacters(field, text string) error {
	for _, r := range text {
		if unicode.IsControl(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || unicode.Is(unicode.Bidi_Control, r) || r == '\uFEFF' || r == utf8.RuneError {
			return refuse(field, "has a control character or a line break")
		}
	}
	return nil
}

// checkDay refuses a day that is not in the calendar.
func checkDay(field, day string) error {
	if _, err := time.Parse(dayText, day); err != nil {
		return refuse(field, "%q is not a date; write it like 2026-03-14", day)
	}
	return nil
}

// checkRange refuses a number outside low … high, and one that is none.
func checkRange(field string, v, low, high float64, unit string) error {
	if !(v >= low && v <= high) {
		return refuse(field, "is %s, want %s to %s %s", number(v), number(low), number(high), unit)
	}
	return nil
}

// checkAbove is checkRange with the low end left out.
func checkAbove(field string, v, low, high float64, unit string) error {
	if !(v > low && v <= high) {
		return refuse(field, "is %s, want more than %s, at most %s %s", number(v), number(low), number(high), unit)
	}
	return nil
}

// number writes a number the shortest way that reads back the same.
func number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "not a number"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// readNumber reads a plain decimal number: digits with at most one decimal
// point or comma. No sign, no exponent, no words.
func readNumber(field, text string) (float64, error) {
	plain := strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	digits := 0
	for _, r := range plain {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r != '.':
			return 0, refuse(field, "%q is not a plain number", text)
		}
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || digits == 0 || len(plain) > 20 {
		return 0, refuse(field, "%q is not a plain number", text)
	}
	return v, nil
}

// listed writes values one after the other: "a, b, c".
func listed[T any](values []T) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = fmt.Sprint(v)
	}
	return strings.Join(words, ", ")
}
