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

// numberWords are the numbers that people put in words. Those from twenty on take one
// below ten behind them.
var numberWords = map[string]float64{
	"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
	"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
	"seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50,
	"sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}

// foreignNumbers are such words of German, French, Spanish, Italian, Polish and Dutch, without accents: those up to
// twelve, and the tens that people hold for. One that is another word in English, or "new" in French, is left out.
const foreignNumbers = `2 zwei deux dos dwa twee
3 drei trois tre trzy drie
4 vier quatre cuatro quattro cztery
5 funf cinq cinco cinque piec vijf
6 sechs seis szesc zes
7 sieben siete sette siedem zeven
8 acht huit ocho otto osiem
9 neun nueve nove dziewiec negen
10 zehn dix diez dieci dziesiec tien
12 zwolf douze doce dodici dwanascie twaalf
15 funfzehn quinze quince quindici pietnascie vijftien
20 zwanzig vingt veinte venti dwadziescia twintig
30 dreissig trente treinta trenta trzydziesci dertig`

var numberAbroad = readForeignNumbers()

func readForeignNumbers() map[string]float64 {
	all := make(map[string]float64)
	for line := range strings.Lines(foreignNumbers) {
		words := strings.Fields(line)
		v, _ := strconv.ParseFloat(words[0], 64)
		for _, w := range words[1:] {
			all[w] = v
		}
	}
	return all
}

// partWords are the parts of an inch, a millilitre or a minute that people put in words.
var partWords = map[string]float64{
	"half": 1. / 2, "quarter": 1. / 4, "quarters": 1. / 4, "fifth": 1. / 5, "fifths": 1. / 5, "eighth": 1. / 8,
	"eighths":   1. / 8,
	"sixteenth": 1. / 16, "sixteenths": 1. / 16, "tenth": 1. / 10, "tenths": 1. / 10, "twentieth": 1. / 20,
	"twentieths": 1. / 20, "hundredth": 1. / 100, "hundredths": 1. / 100,
}

// Word is the value of a number in one word, lower case and without accents.
func Word(w string) (v float64, ok bool) {
	if v, ok = numberWords[w]; !ok {
		v, ok = numberAbroad[w]
	}
	return v, ok
}

// Part is the value of a part in one word: half, quarters, tenth.
func Part(w string) (v float64, ok bool) {
	v, ok = partWords[w]
	return v, ok
}

// Spelled is the value of a number in words up to 99, 0 for anything else.
func Spelled(words string) (v float64) {
	for _, w := range strings.FieldsFunc(words, func(r rune) bool { return r == ' ' || r == '-' }) {
		if w == "a" || w == "an" {
			w = "one"
		}
		v += numberWords[w]
	}
	return v
}
