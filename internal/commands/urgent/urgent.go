// Package urgent recognises a message about harm, a suspected occlusion, or blood seen. It reads a message before
// anything else does, and it is made to give the emergency direction too often rather than too seldom.
//
// It has lists of words by their meanings, a file for each language (words/*.txt): a colour, a part of the body,
// blood, a wish to go on. Weights (rules.txt) say which meanings together are about what. A sign belongs to the
// nearest thing: "the lip has gone white" is urgent, "the milk has gone cold" is not.
package urgent

// Kind is what a message is about.
type Kind string

// What a message can be about. Harm comes before blood.
const (
	None  Kind = ""
	Harm  Kind = "harm"  // a suspected occlusion, or any harm to a person
	Blood Kind = "blood" // blood seen, as far as the words say in a person
)

// mostHeard is how much of a text is read, in bytes: twice a chat message. Of a longer text the beginning and the end
// are read, so that the answer to an emergency is quick.
const mostHeard = 8000

// told is the weight, of rules.txt, from which a message is about something.
const told = 4

// mostOfTurn is how many words a message may have that continues about an emergency.
const mostOfTurn = 12

// Hear returns what a text is about. The known names of gels are read as names, whatever else their words mean.
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

// GoesOn reports whether a message right after an urgent one is still about it: "what do i do", "help", "and now".
func GoesOn(text string) bool {
	l := lexiconOf()
	m := l.listen(text, nil)
	return m.said <= mostOfTurn && m.tells(l.further)
}
