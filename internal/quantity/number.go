package quantity

import (
	"regexp"
	"strconv"
	"strings"
)

// Decimal is the pattern of a number as it is typed: 7, 7.13, 7,13, .9, 1.300,5.
const Decimal = `(?:\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:,\d{3})+\.\d+|\d+(?:[.,]\d+)?|[.,]\d+)`

// mostDigits is the longest text that is read as a number: a longer one is a slip.
const mostDigits = 20

var (
	leading     = regexp.MustCompile(`^` + Decimal)
	wholeNumber = regexp.MustCompile(`^` + Decimal + `$`)
	runsOn      = regexp.MustCompile(`^(?:(?:\.\d+)+|[eE][+-]?\d+)`)
)

// Number reads a plain decimal number, in one way for the whole program. A point is a decimal point and a comma a
// decimal comma, except in 1,300, which may be thousands and is not read. In 1.300,5 the last mark is the decimal
// one. There is no sign, no exponent and no word.
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

// Lead reads the number that a text begins with and says where it ends, 0 for none. 1.2.3 and 1e5 are read to their
// ends and are errors.
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
	v, _ = strconv.ParseFloat(plain, 64) // cannot fail: the pattern has a number
	return v, end, nil
}
