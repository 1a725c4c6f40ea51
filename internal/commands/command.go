package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

// anyMember is the least role: whoever belongs to the group.
const anyMember = knowledge.MemberRole

// Command declares one thing that can be asked. Every surface takes its menus,
// its help and its permissions from here.
type Command struct {
	Name     string         // required; lower case, at most 32 characters
	Summary  string         // required; one line of at most 100 characters
	Short    string         // the summary in a few words, of the commands of a day
	Help     string         // required; a few sentences
	Options  []Option       // those required come first
	Free     bool           // the rest of the line is free text, beside the options
	FreeHelp string         // required where Free is set: what the text is about
	Plain    Plain          // reads a typed line's words where no Free text is taken; nil: options alone
	Who      knowledge.Role // required; the least role that may ask
	Quick    bool           // answers within a moment: no surface says first that it is at work
	Bearing                 // which of the caveats its answers carry
	Examples []string       // required; lines as typed, the first is the best
	Run      func(context.Context, *Env, *Call) (Card, error)

	Form   *Form // the options in a few lines; nil for none
	Shared bool  // an answer may serve others too: a surface that answers in private offers to show it

	Admits bool // whoever asks is on the group's list when it runs, put there if need be
	Alone  bool // needs nothing of the group's, and answers where the store does not

	// Private marks answers that are nobody else's business: a surface that would
	// answer where others read along says how to ask instead.
	Private bool
}

// Bearing is what a Card bears on, and so which of the caveats it needs beside
// those that all need.
type Bearing struct {
	Bench   bool // bench work
	Bedside bool // what may be looked at with a patient in the chair
}

// Plain reads the words of a Call into its options, or keeps them for the command to read. Errors: *UserError,
// *questionBack.
type Plain func(context.Context, *Env, *Call) error

// OptionKind is what an option takes.
type OptionKind int

// The kinds of option.
const (
	Text   OptionKind = iota
	Number            // in the option's unit, Min to Max
	Whole             // a whole number, Min to Max
	Date              // 2006-01-02, today or yesterday
	YesNo
	PlatformRole    // the platform's id of a role; a surface may let one pick it
	PlatformChannel // the platform's id of a channel; a surface may let one pick it
	PlatformFile    // a file that comes with the request, where a surface can attach one
)

// Option declares one value that a command takes.
type Option struct {
	Name     string // lower case, at most 32 characters
	Help     string // at most 100 characters
	Kind     OptionKind
	Unit     string // of a Number: "s", "mL", "°C"; may be typed or left out
	Min, Max float64
	Choices  []string            // if any, nothing else is taken
	Reads    func(string) string // finds the choice that other words mean, "" for none; may be nil
	Suggest  Suggester           // completes what is being typed; nil for none
	Most     int                 // characters of a Text, 0 for the usual maxValue
	Required bool
	Kept     bool // a Text is stored as it is typed: a doubtful one is asked about
	Unlisted bool // buttons and lists give it: menus and help do not show it
}

// Suggester offers at most 25 values for what has been typed so far; the request
// has the asker and the options that are filled in already. One for a number begins with
// it, and may say behind a blank what it is.
type Suggester func(ctx context.Context, env *Env, req Request, typed string) ([]string, error)
