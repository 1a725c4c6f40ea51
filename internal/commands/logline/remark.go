package logline

import (
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/quantity"
)

var (
	link     = regexp.MustCompile(`https?://\S+`)
	noteWord = regexp.MustCompile(`\b(?:notes?|nb|comment|remark)\b\s*[:=-]?\s*(.+)$`)
	dash     = regexp.MustCompile(`\s--?\s*([a-z].*)$`)
	brackets = regexp.MustCompile(`\(([^()]*)\)`)
	valueish = regexp.MustCompile(`^(?:` + quantity.WordedDay + `|stop ?watch|(?:video|film(?:ed)?|slow).*` +
		`|(?:whole )?milk.*|water.*|gly.*|.*needle|.*cannula|.*syringe|pull.*|` + noneWords + `.*)$`)
	resulted = regexp.MustCompile(`(?:` + quantity.Duration + `\b|` + noneWords + `|mm\s.*\d\s*$` +
		`|\d\s+` + quantity.Decimal + `\s*$)`)
	combined = regexp.MustCompile(`\b(?:un)?dilut|\b(?:cann?ula|gauge|insulin|luer)|\d\s*(?:g|mm)\b`)
	digit    = regexp.MustCompile(`\d`)
)

// readRemarks takes out links, lots and notes.
func (r *reader) readRemarks() {
	if m := link.FindIndex(r.plain); m != nil {
		r.Link = r.take(m[0], m[1])
	}
	if m := noteWord.FindSubmatchIndex(r.plain); m != nil {
		r.addNote(r.typed[m[2]:m[3]])
		r.take(m[0], m[1])
	}
	r.readLot()
	// A dash behind the result begins a note.
	if m := dash.FindSubmatchIndex(r.plain); m != nil && resulted.Match(r.plain[:m[0]]) &&
		r.isNote(r.plain[m[2]:m[3]]) {
		note := r.typed[m[2]:m[3]]
		if day := wordedDay.FindStringSubmatch(note); day != nil {
			r.askWhetherOn(day[1])
		}
		r.addNote(note)
		r.take(m[0], m[1])
	}
	for _, m := range brackets.FindAllSubmatchIndex(r.plain, -1) {
		if inner := strings.TrimSpace(string(r.plain[m[2]:m[3]])); inner != "" && !digit.MatchString(inner) &&
			r.isNote([]byte(inner)) {
			r.addNote(r.typed[m[2]:m[3]])
			r.take(m[0], m[1])
		}
	}
}

// isNote reports whether words beside a result only remark on it: they have no value, name no part of the combination
// and do not turn the line round.
func (r *reader) isNote(words []byte) bool {
	for _, pattern := range []*regexp.Regexp{valueish, noneOnly, flashed, volume, degrees, glycerol, milkWater,
		frameRate, pulled, combined} {
		if pattern.Match(words) {
			return false
		}
	}
	text := string(words)
	if _, _, bench := quantity.InEnglish(text); bench != "" {
		return false
	}
	turned := slices.ContainsFunc(strings.Fields(text), func(w string) bool { return slices.Contains(turning, bare(w)) })
	return !turned && r.ix.Read(text).Product.ID == 0
}

func (l *Line) addNote(text string) {
	text = strings.Trim(strings.Join(strings.Fields(text), " "), " ,;-")
	if l.Note != "" && text != "" {
		text = l.Note + "; " + text
	}
	if text != "" {
		l.Note = text
	}
}
