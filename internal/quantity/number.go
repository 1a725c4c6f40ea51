package quantity

import (
	"regexp"
	"strconv"
	"strings"
)

// Decimal is the pattern of a number as it is typed: 7, 7.13, 7,13, .9, 1.300,5.
const Decimal = `(?:\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:,\d{3})+\.\d+|\d+(?:[.,]\d+)?|[.,]\d+)`

// mostDigits is the longest text that is read as a number: more is a slip of the hand.
const mostDigits = 20

var (
	leading     = regexp.MustCompile(`^` + Decimal)
	wholeNumber = regexp.MustCompile(`^` + Decimal + `$`)
	runsOn      = regexp.MustCompile(`^(?:(?:\.\d+)+|[eE][+-]?\d+)`)
)

// Number reads a plain decimal number, by one policy for the whole program. A point is
// a decimal point, and a comma a decimal comma, unless three digits follow it and a
// digit other than nought leads: 1,300 may be thousands, too, and is not read. Where
// both stand the last is the decimal one: 1.300,5. No sign, no exponent, no words.
//
// Errors: *Problem.
func Number(text string) (float64, error) {
	plain := strings.TrimSpace(text)
	v, end, err := Lead(plain)
	if end != len(plain) || end == 0 {
		return 0, problem(text, "%s is not a number.", plain)
	}
	return v, err
}

// Lead reads the number that a text begins with and says where it ends, 0 for none.
// What runs on as no number does, 1.2.3 and 1e5, belongs to it and is an error.
//
// Errors: *Problem.
func Lead(text string) (v float64, end int, err error) {
	end = len(leading.FindString(text))
	plain := text[:end]
	if more := len(runsOn.FindString(text[end:])); end > 0 && (more > 0 || end > mostDigits) {
		return 0, end + more, problem(text, "%s is not a number.", text[:end+more])
	}
	lead, decimals, comma := strings.Cut(plain, ",")
	switch point := strings.LastIndexByte(plain, '.'); {
	case comma && point > len(lead):
		plain = strings.ReplaceAll(plain, ",", "")
	case comma && point >= 0:
		plain = strings.ReplaceAll(lead, ".", "") + "." + decimals
	case comma && len(decimals) == 3 && strings.Trim(lead, "0") != "":
		p := problem(text, "%s can be read in two ways.", plain)
		p.Options = []string{lead + "." + decimals, lead + decimals}
		return 0, end, p
	case comma:
		plain = lead + "." + decimals
	}
	v, _ = strconv.ParseFloat(plain, 64) // the pattern was met
	return v, end, nil
}
