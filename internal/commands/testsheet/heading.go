// Package testsheet reads a sheet of bench tests as people keep one, or a list of gels, needles
// or stock. It reads headings by their meaning, in any order, and cells as the same words are
// read in chat. What is unclear is asked once, not once a row. It knows words and the nouns of
// the trade, no store and no clock. It makes of a sheet the rows of a file of its kind, as the
// program writes such files.
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

// The fields, by their names in the list of headings. Questions use the names, and answers may.
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

// fields are those of a sheet of tests, in the order in which a question offers them.
var fields = [...]Field{Gel, Instrument, Seconds, Outcome, Watched, Person, Day, Note, Pull, Liquid, Temperature,
	Timing, Syringe, Setup, Gauge, Length, Sharp, Wall, None, Link, Lot, Expiry, Class}

//go:embed headings.txt
var headingFile string

// headings has what a column holds, by the phrase above it.
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

// headingMarks are taken out of headings before they are compared.
var headingMarks = regexp.MustCompile(`[-_/:.?*]`)

// plainHeading is a heading in the form in which headings are compared.
func plainHeading(text string) string {
	text = headingMarks.ReplaceAllString(bracketed.ReplaceAllString(strings.ToLower(text), " "), " ")
	return strings.Join(strings.Fields(text), " ")
}

// meaning is what a heading says its column holds, "" if that is not clear. sure is false for
// a heading with other words beside the phrase.
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
				field = "" // it names two fields
			}
		}
	}
	return field, false
}

// column is one column of a sheet.
type column struct {
	heading string
	field   Field  // "" if it is not clear
	unit    string // named in the heading; it belongs to every bare number below
	asked   bool   // whether a question asks what it holds
}

var (
	unitSaid   = regexp.MustCompile(`[(\[]\s*([^)\]]{1,12}?)\s*[)\]]|\b(minutes?|mins?|ml|cc|inch(?:es)?|mm)\s*$`)
	bareNumber = regexp.MustCompile(`^[\d.,]+$`)
	aUnit      = regexp.MustCompile(`^(?:` + quantity.SecondUnit + `|` + quantity.MinuteUnit + `|` + quantity.VolumeUnit +
		`|` + quantity.DegreeUnit + `|` + quantity.RateUnit + `|mm|cm|inch(?:es)?|in|")$`)
	withUnit   = []Field{Seconds, Watched, Pull, Temperature, Length, Timing}
	repeatable = []Field{Note, Names, Seconds}                // several columns may hold one
	downwards  = []Field{Gel, Setup, Instrument, Person, Day} // often written once for the rows below
)

// columnsOf says what the columns under some headings hold.
func columnsOf(cells []string) (columns []column) {
	sure := make([]bool, len(cells))
	for i, cell := range cells {
		c := column{heading: strings.TrimSpace(cell)}
		c.field, sure[i] = meaning(cell)
		if m := unitSaid.FindStringSubmatch(strings.ToLower(cell)); m != nil && slices.Contains(withUnit, c.field) {
			if unit := m[1] + m[2]; aUnit.MatchString(unit) {
				c.unit = unit
			}
		}
		columns = append(columns, c)
	}
	columns = openDoubles(columns, sure)
	if !has(columns, Seconds) { // then they stand under "result"
		for i := range columns {
			if columns[i].field == Outcome {
				columns[i].field = Seconds
				break
			}
		}
	}
	return columns
}

// openDoubles leaves open what a column holds if another column holds the same as surely or
// more surely.
func openDoubles(columns []column, sure []bool) []column {
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

// sameButNumber reports whether two headings differ only in a number: "time 1", "time 2".
func sameButNumber(a, b string) bool {
	m, n := numbered.FindStringSubmatch(plainHeading(a)), numbered.FindStringSubmatch(plainHeading(b))
	return m != nil && n != nil && m[1] == n[1]
}

func has(columns []column, field Field) bool {
	return slices.ContainsFunc(columns, func(c column) bool { return c.field == field })
}

// known counts the headings of a line that are understood; 0 if the line cannot be the heading
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
