package commands

import (
	"fmt"
	"time"

	"holdbench/internal/trade"
)

// Card is an answer before a surface gives it its look.
type Card struct {
	Title    string    // what it is about; for a combination its name as the trade writes it
	Before   []string  // shown before all else: what was stored earlier and is not confirmed yet
	Address  string    // an https address shown whole under the title, "" for none
	Verdict  string    // one line under it, "" for none
	Since    time.Time // when what it shows began: a surface that can shows a running time; zero for none
	Untested bool      // nobody has tested it: shown first, and unlike a tested answer
	Facts    []Fact
	Choices  []Choice // a question back: picking one asks again
	Picks    []Pick   // lists of values to set or to choose from
	Warnings []string
	Sources  []string
	Caveats  []string // in full; set by Answer and nowhere else
	Brief    []string // the same in few words, for the asker alone; nil where they are shown in full
	Actions  []Action // what the reader may want to ask next
	Figures  any      // the same answer for a program, nil where there is none
	Picture  *Picture // nil for none
	Files    []File   // to take away
	Links    []Link   // what can be looked at elsewhere
	Share    *Request // shows it to others, where the command is not Shared; nil for none
	Behind   int64    // the gel whose estimate lags behind its latest tests, if a later answer may differ; 0 for none
	Stored   Stored   // what was stored, where something was

	// Source renews the shared message that the request came from: it asks for what that message shows from now on.
	// Nil leaves it unchanged.
	Source *Request

	// Role and Channel are ids of the platform's that appear in the facts, as in "role 42" and "channel 77". A surface
	// that knows their names shows the names. "" for none.
	Role, Channel string

	Refused bool // something was wrong with what was asked: for the asker alone
	Bare    bool // bears on no hold: it carries no caveats
	Urgent  bool // the direction in an emergency: nothing is shown beside it
	bedside bool // bears on work at a patient, though its command does not
	Failed  bool // something went wrong here: the title carries a reference to the log
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
	Tap     bool // a button only: text surfaces leave it out
	Big     bool // what to press next: it stands out, in a row of its own
	Here    bool // the answer replaces the card, where nobody else reads it
}

// toAsk is an action that asks a command.
func toAsk(label, command string) Action {
	return Action{Label: label, Request: Request{Command: command}}
}

// toAskAbout is a button that asks a command about a combination.
func toAskAbout(label, command string, c trade.Combination) Action {
	return Action{Label: label, Request: about(command, c), Tap: true}
}

// with is the action with an option's value set.
func (a Action) with(option, value string) Action {
	a.Request = a.Request.with(option, value)
	return a
}

// Picture is a Card's picture. It shows nothing that the Card does not say.
type Picture struct {
	Name string // of the file, "share.png"; where a surface wrote it to disk, its path
	Alt  string // required; what it shows, for people who cannot see it
	PNG  []byte
}

// File is something to take away: a surface attaches it, or writes it to disk and says where. The Card's words say
// what it holds.
type File struct {
	Name string // "tests.csv", without a folder; where a surface wrote it to disk, its path
	Type string // as in "text/csv; charset=utf-8"
	Data []byte
}

// Link is something to look at elsewhere.
type Link struct{ Label, URL string }

// line adds a fact without a label.
func (c *Card) line(format string, args ...any) { c.fact("", format, args...) }

// fact adds a labelled fact. An empty text adds none.
func (c *Card) fact(label, format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		c.Facts = append(c.Facts, Fact{label, text})
	}
}

// andMore says how many rows a list leaves out, and where they are, "" for nothing more to say. Below 1 it says
// nothing.
func (c *Card) andMore(left int, where string) {
	if left > 0 {
		c.line("and %d more%s", left, where)
	}
}

// warn adds a warning, a whole sentence. An empty one adds none.
func (c *Card) warn(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		c.Warnings = append(c.Warnings, text)
	}
}
