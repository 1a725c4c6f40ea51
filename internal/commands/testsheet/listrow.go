package testsheet

import (
	"slices"
	"strconv"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/sheet"
	"holdbench/internal/trade"
)

// listRow makes the row of a file of a list. out is true if an answer leaves it out; problem
// says what is wrong with it.
func (r *Reader) listRow(row sheet.Row) (cells []string, out bool, problem string) {
	said := r.filled(row, func(Field) {})
	switch r.Kind {
	case Gels:
		return r.gelRow(said, row)
	case Needles:
		return r.needleRow(said, row)
	}
	base, out, problem := r.who(said, row)
	if out || problem != "" {
		return nil, out, problem
	}
	return append(base[1:], base[0]), false, ""
}

// gelRow: a name that was answered to be a gel of the list is kept as another name of it.
func (r *Reader) gelRow(said map[Field]string, row sheet.Row) (cells []string, out bool, problem string) {
	text, class, day := said[Gel], r.cell(row, Class), said[Day]
	if text == "" {
		return nil, false, "gel: is missing"
	}
	gel := r.place(Gel, text, false)
	typed := gel.product
	switch say := r.answers[nameKey(Gel, text)]; {
	case say == LeaveOut:
		return nil, true, ""
	case strings.HasPrefix(say, ItIs):
		gel = r.place(Gel, say[len(ItIs):], false)
	}
	if class != "" {
		read, is := question.ReadClass(class)
		if !is {
			meant, leave, why := r.decided(Class, class, false)
			if leave || why != "" {
				return nil, leave, why
			}
			read = calc.GelClass(meant.class)
		}
		class = string(read)
	}
	if day != "" {
		read, err := r.day(day)
		if err != nil {
			return nil, false, "day: " + err.Error()
		}
		day = read
	}
	return []string{gel.product, class, otherNames(gel.product, typed+";"+r.cell(row, Names)), day}, false, ""
}

// otherNames are the names in a cell, each once, without the gel's own.
func otherNames(name, cell string) string {
	var names []string
	seen := []string{trade.Fold(name)}
	for _, other := range strings.FieldsFunc(cell, func(c rune) bool { return strings.ContainsRune(",;/\n", c) }) {
		if key := trade.Fold(other); key != "" && !slices.Contains(seen, key) {
			names, seen = append(names, trade.Tidy(other)), append(seen, key)
		}
	}
	return strings.Join(names, trade.AliasBreak)
}

// needleRow: the wall in the row counts, also for a needle that is on the list without one.
func (r *Reader) needleRow(said map[Field]string, row sheet.Row) (cells []string, out bool, problem string) {
	text := said[Instrument]
	if text == "" {
		return nil, false, "needle: is missing"
	}
	read, clear := r.setupOf(text, true)
	i := read.Instrument
	if !clear {
		is, leave, why := r.decided(Instrument, text, true)
		if leave || why != "" {
			return nil, leave, why
		}
		i, _ = r.readInstrument(is.instrument)
	}
	if wall, is := question.ReadWall(r.cell(row, Wall)); is && i.Wall == "" {
		i.Wall = wall
	}
	bore := strings.TrimSpace(strings.TrimSuffix(strings.ToLower(r.cell(row, Bore)), "mm"))
	gauge := strconv.Itoa(i.Gauge)
	return []string{string(i.Kind), gauge, trade.Number(i.LengthMM), string(i.Wall), bore}, false, ""
}
