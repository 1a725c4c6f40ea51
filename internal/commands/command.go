package commands

import (
	"context"

	"holdbench/internal/knowledge"
)

// anyMember is the least role: whoever belongs to the group.
const anyMember = knowledge.MemberRole

// Command declares one thing that can be asked. Every surface takes its menus, help and permissions from it.
type Command struct {
	Name     string         // required; lower case, at most 32 characters
	Summary  string         // required; one line of at most 100 characters
	Short    string         // the summary in a few words, for the commands of every day
	Help     string         // required; a few sentences
	Options  []Option       // those required come first
	Free     bool           // the rest of the line, other than the options, is free text
	FreeHelp string         // required where Free is set: what the text is about
	Plain    Plain          // reads the words of a typed line; nil: there are options alone, or Free text
	Who      knowledge.Role // required; the least role that may ask
	Quick    bool           // answers within a moment: no surface says first that it is at work
	Bearing                 // which of the caveats its answers carry
	Examples []string       // required; lines as typed, the first is the best
	Run      func(context.Context, *Env, *Call) (Card, error)

	Form   *Form // the options in a few lines; nil for none
	Shared bool  // others may want the answer too: a surface that answers in private offers to show it

	Admits bool // whoever asks is put on the group's list, if need be, before it runs
	Alone  bool // needs nothing from the group, and answers even when the store does not

	// Private marks answers that are nobody else's business. Where others could read the answer, a surface says how to
	// ask in private instead.
	Private bool
}

// Bearing is what a Card bears on. It decides which caveats the Card needs in addition to those that all have.
type Bearing struct {
	Bench   bool // bench work
	Bedside bool // may be read with a patient in the chair
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
	Reads    func(string) string // the choice that other words mean, "" for none; may be nil
	Suggest  Suggester           // completes what is being typed; nil for none
	Most     int                 // characters of a Text, 0 for the usual maxValue
	Required bool
	Kept     bool // a Text is stored as it is typed: a doubtful one is asked about
	Unlisted bool // buttons and lists set it: menus and help do not show it
}

// Suggester offers at most 25 values for what has been typed so far. The request has the asker and the options that are
// filled in already. A value for a number begins with it, and may say after a blank what it is.
type Suggester func(ctx context.Context, env *Env, req Request, typed string) ([]string, error)
