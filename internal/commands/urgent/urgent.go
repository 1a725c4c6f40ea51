// Package urgent hears whether a message tells of harm, of a suspected occlusion, or
// of blood seen. It comes before anything else reads the message. It would rather give
// the direction once too often than once too seldom.
//
// It knows no phrases but small lists of words by what they stand for (words/*.txt, one
// file a language: a colour, a part of the body, blood, a wish to go on) and says by
// weights which of them together tell of what (rules.txt). A sign belongs to what stands
// nearest: "the lip has gone white" is urgent, "the milk has gone cold" is not.
package urgent

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

// told is the weight from which a message tells of something, a weight of rules.txt.
const told = 4

// mostOfTurn is how many words a turn may have that goes on about an emergency.
const mostOfTurn = 12

// Hear returns what a text of any length tells of. A name that is known to be one of a
// gel is read as a name, whatever its words mean elsewhere. It never fails.
func Hear(text string, known ...string) Kind {
	if len(text) > mostHeard {
		text = text[:mostHeard/2] + " " + text[len(text)-mostHeard/2:]
	}
	l := lexiconOf()
	m := l.listen(text, known)
	switch {
	case m.tells(l.harm):
		return Harm
	case m.tells(l.blood):
		return Blood
	}
	return None
}

// GoesOn reports whether a turn after an urgent one is still about it: "what do i
// do", "help", "and now". It holds only after a turn that was urgent.
func GoesOn(text string) bool {
	l := lexiconOf()
	m := l.listen(text, nil)
	return m.said <= mostOfTurn && m.tells(l.further)
}
