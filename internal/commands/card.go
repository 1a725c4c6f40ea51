package commands

import (
	"fmt"
	"time"
)

// Card is an answer before it takes the look of a surface.
type Card struct {
	Title    string    // what it is about; for a combination its name as the trade writes it
	Before   []string  // said before all else: what was stored earlier, and not confirmed yet
	Address  string    // an https address that stands whole under the title, "" for none
	Verdict  string    // one line under it, "" for none
	Since    time.Time // what goes on since then: a surface that can lets the time run on; zero for nothing
	Untested bool      // nobody has tested it: said first, and shown unlike a tested answer
	Facts    []Fact
	Choices  []Choice // a question back: picking one asks again
	Picks    []Pick   // lists of values to set or to go by
	Warnings []string
	Sources  []string
	Caveats  []string // in full; set by Answer and nowhere else
	Brief    []string // the same in few words, for the asker alone; nil where they stand in full
	Actions  []Action // what one may want to ask next
	Figures  any      // the same answer for a program, nil where there is none
	Picture  *Picture // nil for none
	Files    []File   // to take away
	Links    []Link   // what can be looked at elsewhere
	Share    *Request // what shows it to others, where the command's answers are not all Shared
	// the gel by whose estimate before the latest tests it goes, and that it would tell anew; 0 for none
	Behind int64
	Stored Stored // what was stored, where something was

	// Source asks for what the message shows from now on that the request came from, where
	// others read it, too; nil where it stays as it is.
	Source *Request

	// Ids of the platform's that stand in the facts, as "role" or "channel" and the
	// id: a surface that knows what they are called shows that. "" for none.
	Role, Channel string

	Refused bool // something was wrong with what was asked: for the asker alone
	Bare    bool // bears on no hold: it carries no caveats
	Urgent  bool // the direction in an emergency: nothing is shown beside it
	bedside bool // bears on what is done beside a patient, though its command does not
	Failed  bool // something was wrong here: the title carries a reference to the log
}

// Fact is one line of an answer. The label may be empty.
type Fact struct{ Label, Text string }

// Choice is one way to read what was asked.
type Choice struct {
	Label   string
	Request Request
}

// Action is one thing that can be asked next.
type Action struct {
	Label   string
	Request Request
	Tap     bool // worth a button, not a line of text
	Big     bool // what to press next: stands out, in a row of its own
	Here    bool // the answer takes the place of the card, where nobody else reads it
}

// line adds a fact without a label.
func (c *Card) line(format string, args ...any) { c.fact("", format, args...) }

// fact adds a labelled fact. An empty text adds none.
func (c *Card) fact(label, format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		c.Facts = append(c.Facts, Fact{label, text})
	}
}

// warn adds a warning, a whole sentence. An empty one adds none.
func (c *Card) warn(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		c.Warnings = append(c.Warnings, text)
	}
}
