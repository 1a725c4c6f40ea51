// Package urgent hears whether a message tells of harm, of a suspected occlusion, or
// of blood seen. It comes before anything else reads the message. It knows words
// only, and would rather give the direction once too often than once too seldom.
//
// Talk of the bench is told apart by what a colour, a pain or the blood belongs to:
// "the lip has gone white" is urgent, "the milk has gone cold" is not.
package urgent

import (
	"strings"

	"holdbench/internal/spelling"
)

// Kind says what a message tells of.
type Kind string

// What a message can tell of. Harm goes before blood.
const (
	None  Kind = ""
	Harm  Kind = "harm"  // a suspected occlusion, or any harm to a person
	Blood Kind = "blood" // blood seen, in a person as far as the words tell
)

// mostHeard bounds how much of a text is looked at, in bytes: a chat message has half of it. Of a longer text the
// beginning and the end are, so that an emergency takes no longer to be heard than a moment.
const mostHeard = 8000

// Hear returns what a text of any length tells of. It never fails.
func Hear(text string) Kind {
	if len(text) > mostHeard {
		text = text[:mostHeard/2] + " " + text[len(text)-mostHeard/2:]
	}
	l := listen(text)
	switch {
	case l.harmed():
		return Harm
	case l.bloodSeen():
		return Blood
	}
	return None
}

// GoesOn reports whether a turn after an urgent one is still about it: "what do i
// do", "help", "and now". It holds only after a turn that was urgent.
func GoesOn(text string) bool {
	l := listen(text)
	if len(l.words) == 0 || len(l.words) > 12 {
		return false
	}
	return l.hasAny(goesOnPhrases) || l.count(set(`help please now quick quickly urgent hurry`)) > 0 && len(l.words) <= 4
}

var goesOnPhrases = []string{"help", "what do", "what should", "what now", "now what", "and now", "what next",
	"do i", "should i", "can i", "is it ok",
	"carry on", "still", "getting worse", "no change", "who do i call", "how do i treat", "what else",
	"then what", "it is"}

// heard is a message as words.
type heard struct {
	words []string
	text  string // the words with a blank before and behind each
	logs  bool   // begins as a command or a result does
}

// contractions are brought to one form, so that each sign is listed once.
var contractions = map[string]string{
	"cant": "cannot", "couldnt": "cannot", "couldn": "cannot", "cnt": "cannot", "im": "i am", "ive": "i have",
	"shes": "she is", "hes": "he is", "its": "it is",
	"theres": "there is", "gray": "grey", "greyish": "grey", "whitish": "white", "wht": "white",
	"pt": "patient", "pts": "patient", "client": "patient", "dont": "do not", "didnt": "did not",
	"isnt": "is not", "wont": "will not", "hasnt": "has not", "whats": "what is",
	"bld": "blood", "blud": "blood", "bleeding": "blood", "flash": "flashback", "flashed": "flashback",
	"pos": "positive", "asp": "aspirate",
	"gona": "gone", "gon": "gone", "u": "you", "wat": "what", "wot": "what",
}

// rewritten are words that mean another thing together than each does alone.
var rewritten = strings.NewReplacer(" flash back", " flashback", " blood like ", " milk ", " can not ", " cannot ",
	" could not ", " cannot ", " cannot feel ", " numb ", " pellow lip ", " pellow ",
	" v . o ", " vo ", " is bloody ", " is blood ", " bloody hub ", " blood hub ", " bloody syringe ", " blood syringe ")

// often are signs that are misspelt often, and ordinary what a slip of one could be.
var (
	often    = strings.Fields("white purple blood flashback artery refill swelling vision patient aspirate positive")
	ordinary = set("while write whites whine flood spelling smelling selling dwelling bloody")
)

// listen takes a message apart. Figures stay, marks become blanks.
func listen(text string) heard {
	var b strings.Builder
	for _, r := range strings.ReplaceAll(strings.ToLower(text), "+ve", " positive") {
		switch {
		case r == '\'' || r == '’' || r == '‘' || r == '`':
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '.' || r == '!' || r == '?' || r == ',' || r == ';' || r == '\n':
			b.WriteString(" . ")
		default:
			b.WriteByte(' ')
		}
	}
	var l heard
	for _, w := range strings.Fields(b.String()) {
		w = spelt(squeezed(w))
		if full, ok := contractions[w]; ok {
			w = full
		}
		l.words = append(l.words, w)
	}
	l.text = rewritten.Replace(" " + strings.Join(l.words, " ") + " ")
	l.words = strings.Fields(l.text)
	l.logs = len(l.words) > 0 && (l.words[0] == "log" || l.words[0] == "batch" || l.words[0] == "b")
	return l
}

// spelt is the sign that a word is one slip of the finger from, or the word.
func spelt(w string) string {
	if len(w) < 4 || ordinary.has(w) {
		return w
	}
	for _, sign := range often {
		if spelling.Distance(w, sign, 1) <= 1 {
			return sign
		}
	}
	return w
}

// squeezed makes three and more of a letter two: "whiiiite" is typed in a hurry.
func squeezed(w string) string {
	out := make([]byte, 0, len(w))
	for i := 0; i < len(w); i++ {
		if n := len(out); n >= 2 && out[n-1] == w[i] && out[n-2] == w[i] && w[i] > '9' {
			continue
		}
		out = append(out, w[i])
	}
	return string(out)
}

func (l heard) hasAny(phrases []string) bool {
	for _, p := range phrases {
		if strings.Contains(l.text, " "+p+" ") {
			return true
		}
	}
	return false
}

// count is how many of the words are in a set.
func (l heard) count(list words) (n int) {
	for _, w := range l.words {
		if list.has(w) {
			n++
		}
	}
	return n
}

// bare reports whether the message is one word of a list and no more.
func (l heard) bare(list words) bool { return list.has(strings.Trim(l.text, " .")) }

// words are a set of words and of stems, which are written with a star.
type words map[string]bool

func set(list string) words {
	m := words{}
	for _, w := range strings.Fields(list) {
		m[w] = true
	}
	return m
}

// has reports whether a word or one of its beginnings of three letters and more is in the set.
func (s words) has(w string) bool {
	for n := 3; n <= len(w); n++ {
		if s[w[:n]+"*"] {
			return true
		}
	}
	return s[w]
}
