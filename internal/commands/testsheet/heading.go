// Package testsheet reads a sheet of bench tests as people keep one, or a list of gels, needles
// or stock: headings by what they mean, in any order, and cells as the same words are read in
// chat. What is unclear is asked about once, not once a row. It knows words and the nouns of the
// trade, no store and no clock; what it makes of a sheet are the rows of a file of its kind.
package testsheet

import (
	_ "embed"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/quantity"
	"holdbench/internal/wordlist"
)

// Field is what a column holds.
type Field string

// The fields. The names are those of the lists of headings, and what a member calls a column.
const (
	Gel         Field = "gel"
	Setup       Field = "set-up" // gel and needle in one cell
	Instrument  Field = "instrument"
	Gauge       Field = "gauge"
	Length      Field = "length"
	Sharp       Field = "kind" // needle or cannula
	Wall        Field = "wall"
	Syringe     Field = "syringe"
	Seconds     Field = "seconds"
	Outcome     Field = "outcome"
	None        Field = "none"
	Watched     Field = "watched"
	Pull        Field = "pull"
	Liquid      Field = "liquid"
	Temperature Field = "temperature"
	Timing      Field = "timing"
	Day         Field = "day"
	Person      Field = "member"
	Note        Field = "note"
	Link        Field = "link"
	Lot         Field = "lot"
	Expiry      Field = "expiry"
	Class       Field = "class"
	Names       Field = "other names"
	Bore        Field = "bore"
	Stocked     Field = "stocked"
	HowMany     Field = "how many"
	leftOut     Field = "left out"
	patient     Field = "patient"
)

// fields are those that a column of tests may be said to hold, in the order in which they are offered.
var fields = [...]Field{Gel, Instrument, Seconds, Outcome, Watched, Person, Day, Note, Pull, Liquid, Temperature,
	Timing,
	Syringe, Setup, Gauge, Length, Sharp, Wall, None, Link, Lot, Expiry, Class}

//go:embed headings.txt
var headingFile string

// headings are the phrases that stand above columns → what the column holds.
var headings = readHeadings(headingFile)

func readHeadings(text string) map[string]Field {
	all := map[string]Field{}
	for field, line := range wordlist.Lines(text) {
		for phrase := range strings.SplitSeq(line, ",") {
			if phrase = plainHeading(phrase); phrase != "" {
				all[phrase] = Field(field)
			}
		}
	}
	return all
}

var (
	bracketed = regexp.MustCompile(`[(\[{][^)\]}]*[)\]}]`)
	numbered  = regexp.MustCompile(`^(.*?)[ #.]*(?:\d{1,2}|[abc])$`)
)

// plainHeading is a heading as it is compared.
func plainHeading(text string) string {
	text = bracketed.ReplaceAllString(strings.ToLower(text), " ")
	text = strings.NewReplacer("_", " ", "-", " ", "/", " ", "\n", " ", ":", " ", ".", " ", "?", " ", "*",
		" ").Replace(text)
	return strings.Join(strings.Fields(text), " ")
}

// meaning is what a heading says its column holds; "" where it is not clear. sure is false
// for a heading that has words beside.
func meaning(heading string) (field Field, sure bool) {
	plain := plainHeading(heading)
	if plain == "" && strings.TrimSpace(heading) != "" {
		plain = plainHeading(strings.Trim(strings.TrimSpace(heading), "()[]{}"))
	}
	if field, known := headings[plain]; known {
		return field, true
	}
	if m := numbered.FindStringSubmatch(plain); m != nil && m[1] != "" {
		if field, known := headings[strings.TrimSpace(m[1])]; known && field == Seconds {
			return Seconds, true
		}
	}
	words, longest := strings.Fields(plain), 0
	for from := range words {
		for to := from + 1; to <= len(words); to++ {
			phrase := strings.Join(words[from:to], " ")
			found, known := headings[phrase]
			switch {
			case !known || len(phrase) < 3 || to-from < longest:
			case to-from > longest:
				field, longest = found, to-from
			case found != field:
				field = "" // two of them are named
			}
		}
	}
	return field, false
}

// column is one column of a sheet.
type column struct {
	heading string
	field   Field  // "" not clear
	unit    string // that the heading names, put behind a bare number
	asked   bool   // what it holds was asked, or has to be
}

var (
	unitSaid   = regexp.MustCompile(`[(\[]\s*([^)\]]{1,12}?)\s*[)\]]|\b(minutes?|mins?|ml|cc|inch(?:es)?|mm)\s*$`)
	bareNumber = regexp.MustCompile(`^[\d.,]+$`)
	aUnit      = regexp.MustCompile(`^(?:` + quantity.SecondUnit + `|` + quantity.MinuteUnit + `|` + quantity.VolumeUnit + `|` + quantity.DegreeUnit + `|` + quantity.RateUnit + `|mm|cm|inch(?:es)?|in|")$`)
	unitsOf    = map[Field]bool{Seconds: true, Watched: true, Pull: true, Temperature: true, Length: true,
		Timing: true}
	repeatable  = []Field{Note, Names, Seconds}
	oftenFilled = []Field{Gel, Setup, Instrument, Person, Day}
)

// columnsOf says what the columns under some headings hold.
func columnsOf(cells []string) (columns []column) {
	sure := make([]bool, len(cells))
	for i, cell := range cells {
		c := column{heading: strings.TrimSpace(cell)}
		c.field, sure[i] = meaning(cell)
		if m := unitSaid.FindStringSubmatch(strings.ToLower(cell)); m != nil && unitsOf[c.field] {
			if unit := m[1] + m[2]; aUnit.MatchString(unit) {
				c.unit = unit
			}
		}
		columns = append(columns, c)
	}
	columns = settleTwice(columns, sure)
	if !has(columns, Seconds) { // "result" is where the seconds stand, too
		for i := range columns {
			if columns[i].field == Outcome {
				columns[i].field = Seconds
				break
			}
		}
	}
	return columns
}

// settleTwice leaves open what a column holds where another holds the same more plainly, or
// as plainly.
func settleTwice(columns []column, sure []bool) []column {
	settled := slices.Clone(columns)
	for i, c := range columns {
		for j, other := range columns {
			if i == j || c.field == "" || c.field != other.field || c.field == leftOut || c.field == patient {
				continue
			}
			same := sure[i] == sure[j]
			if slices.Contains(repeatable, c.field) && same {
				if c.field != Seconds || sameButNumber(c.heading, other.heading) {
					continue
				}
			}
			if same || sure[j] {
				settled[i].field = ""
			}
		}
	}
	return settled
}

// sameButNumber reports whether two headings count the same thing: "time 1", "time 2".
func sameButNumber(a, b string) bool {
	m, n := numbered.FindStringSubmatch(plainHeading(a)), numbered.FindStringSubmatch(plainHeading(b))
	return m != nil && n != nil && m[1] == n[1]
}

func has(columns []column, field Field) bool {
	return slices.ContainsFunc(columns, func(c column) bool { return c.field == field })
}

// known counts the headings of a line that are understood; 0 where it cannot be the heading
// of a sheet of tests.
func known(cells []string) (n int) {
	columns := columnsOf(cells)
	if !has(columns, Seconds) && !has(columns, None) {
		return 0
	}
	for _, c := range columns {
		if c.field != "" && c.field != leftOut {
			n++
		}
	}
	if n < 3 {
		return 0
	}
	return n
}

// Is reports whether the first rows of a sheet have the headings of tests.
func Is(rows [][]string) bool {
	return slices.ContainsFunc(rows, func(cells []string) bool { return known(cells) > 0 })
}
