package commands

import (
	"context"
	"log/slog"
	"slices"
	"strings"
	"time"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
)

// anyMember is the least role: whoever belongs to the group.
const anyMember = knowledge.MemberRole

// Command declares one thing that can be asked. Every surface takes its menus,
// its help and its permissions from here.
type Command struct {
	Name     string         // required; lower case, at most 32 characters
	Summary  string         // required; one line of at most 100 characters
	Help     string         // required; a few sentences
	Options  []Option       // those required come first
	Free     bool           // the rest of the line is free text, beside the options
	FreeHelp string         // required where Free is set: what the text is about
	Plain    Plain          // reads a typed line's words where no Free text is taken; nil: options alone
	Who      knowledge.Role // required; the least role that may ask
	Slow     bool           // takes longer than a moment, or changes something: a surface says so before it is begun
	Bearing                 // which of the caveats its answers carry
	Examples []string       // required; lines as typed, the first is the best
	Run      func(context.Context, *Env, Request) (Card, error)

	Form   *Form // the options in a few lines; nil for none
	Shared bool  // an answer may serve others too: a surface that answers in private offers to show it

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

// Plain puts what a typed line says in plain words, as Request.Text, into options, or
// keeps it as said for the command to read, and leaves no Text. Where the words could
// mean more than one thing it asks back.
type Plain func(context.Context, *Env, Request) (Request, *Card, error)

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
)

// Option declares one value that a command takes.
type Option struct {
	Name     string // lower case, at most 32 characters
	Help     string // at most 100 characters
	Kind     OptionKind
	Unit     string // of a Number: "s", "mL", "°C"; may be typed or left out
	Min, Max float64
	Choices  []string  // if any, nothing else is taken
	Suggest  Suggester // completes what is being typed; nil for none
	Most     int       // characters of a Text, 0 for the usual maxValue
	Required bool
	Kept     bool // a Text is stored as it is typed: a doubtful one is asked about
}

// Suggester offers at most 25 values for what has been typed so far; the request
// has the asker and the options that are filled in already.
type Suggester func(ctx context.Context, env *Env, req Request, typed string) ([]string, error)

// Asker is who asks, as the surface knows them.
type Asker struct {
	Ref  string // the platform's own name for the person
	Name string
	Role knowledge.Role

	Belongs     bool // the surface vouches that the person belongs to the group
	RoleUnknown bool // the surface cannot tell here whether the person is a trainer: elsewhere it can
}

// Request is one question to one command.
type Request struct {
	Command string
	Values  map[string]string // by option name, as typed
	Text    string            // free text
	Asker   Asker
	Key     string // the platform's own name for this request: two with one key log one test
	Place   string // the platform's own name for where it was asked; "" for where nothing is remembered
	About   string // a combination by its pin, beyond what the words could leave open

	Filled map[string]string // the fields of the command's form, as typed
	Post   *Post             // the message that the form is to be filled in from
	Link   string            // the address of that message, kept with what is logged

	NoPatient bool // the asker said that what is typed is not about a patient

	Replies []string // the asker's answers to what a log line left open, in their order

	typed bool   // Text may hold name:value pairs
	said  string // the words of a log line, which its command reads itself

	// Set by Answer for the handler: a declaration names its handler, so a handler that
	// named a declaration would be a cycle.
	cmd       *Command   // the command that runs
	catalogue []*Command // all there are
}

// Typed is the request behind a typed line: a command where it begins with a
// slash or, the way people write to each other, with a command's own word; help
// where that is all it says; /negative where it asks what a negative means; else a
// question about a hold.
func Typed(line string, asker Asker) Request {
	line = strings.TrimSpace(line)
	after, slash := strings.CutPrefix(line, "/")
	if strings.EqualFold(strings.TrimRight(line, "?!. "), helpName) {
		return Request{Command: helpName, Asker: asker}
	}
	if about, is := restOfNegative(line); is {
		return Request{Command: negativeName, Text: about, Asker: asker}
	}
	name, rest, _ := strings.Cut(after, " ")
	rest = strings.TrimSpace(rest)
	if !slash {
		name = strings.TrimRight(name, ":,.!?")
		if !opens(name, rest) {
			return Request{Command: holdName, Text: line, Asker: asker}
		}
	}
	return Request{Command: strings.ToLower(name), Text: rest, Asker: asker, typed: true}
}

// boughtWith are the words after which "stock" is no command: the stock needle is
// the one in the box.
var boughtWith = []string{"needle", "needles", "cannula", "cannulas", "syringe", "syringes"}

// changing are the commands with words of their own that change the log, a cupboard or
// a list.
var changing = []string{logName, batchName, stockName, takeName, giveUpName, asideName, withdrawName, restoreName}

// opens reports whether a line without a slash, its first word and the rest, is
// meant for the command of that name: one that reads what comes after it. "Hold"
// and "help me with" ask about a hold.
func opens(word, rest string) bool {
	cmd := find(catalogue, strings.ToLower(word))
	if cmd == nil || cmd.Name == holdName || cmd.Name == helpName {
		return false
	}
	if slices.Contains(changing, cmd.Name) && question.Asks(word+" "+rest) {
		return false // "take tamsel soft, 27G 13 mm, how many seconds?": what asks changes nothing
	}
	if cmd.Name == negativeName && rest != "" && !namesAssumption(rest) {
		return false // "negative aspiration on …?" asks about a hold
	}
	next, _, _ := strings.Cut(rest, " ")
	if cmd.Name == stockName && slices.Contains(boughtWith, strings.ToLower(next)) {
		return false
	}
	return rest == "" || cmd.Free || cmd.Plain != nil
}

// Line is the request as one would type it.
func (r Request) Line() string {
	cmd := find(catalogue, r.Command)
	if cmd == nil {
		cmd = &Command{}
	}
	return cmd.line(r)
}

// line is a request to cmd as one would type it.
func (cmd *Command) line(r Request) string {
	parts := []string{"/" + r.Command}
	if r.Text != "" {
		parts = append(parts, r.Text)
	}
	for _, o := range cmd.Options {
		if value, given := r.Values[o.Name]; given {
			parts = append(parts, o.Name+":"+quoteValue(value))
		}
	}
	return strings.Join(parts, " ")
}

// example is the best line to type for the command that runs.
func (r Request) example() string { return r.cmd.Examples[0] }

// with is the request with one option set.
func (r Request) with(name, value string) Request {
	values := map[string]string{name: value}
	for n, v := range r.Values {
		if n != name {
			values[n] = v
		}
	}
	r.Values = values
	return r
}

func quoteValue(value string) string {
	if strings.ContainsAny(value, " :") {
		return `"` + value + `"`
	}
	return value
}

// Env is what the commands work with. One Env serves one community, on every
// surface at once.
type Env struct {
	Group *knowledge.Group
	Now   func() time.Time
	Log   *slog.Logger

	Conversations *Conversations // of all communities; nil: nothing is remembered

	words wordIndex
	usage usageBook
}

// today is the date in the community's time zone.
func (env *Env) today(ctx context.Context) (time.Time, error) {
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		return time.Time{}, err
	}
	zone, err := time.LoadLocation(settings.Zone)
	if err != nil {
		return time.Time{}, err
	}
	return env.Now().In(zone), nil
}

// All lists the commands in the order of the help.
func All() []*Command { return slices.Clone(catalogue) }

// catalogue is every command, in the order of the help.

var catalogue = []*Command{
	holdCommand, whyCommand, negativeCommand, logCommand, testsCommand, pictureCommand, compareCommand, withdrawCommand, restoreCommand,
	productsCommand, instrumentsCommand, addProductCommand, settingsCommand, stockCommand, groupStockCommand, untestedCommand, takeCommand, giveUpCommand,
	asideCommand, boxCommand, benchCommand, batchCommand,
	coverageCommand, testersCommand, flaggedCommand, checkedCommand, spreadCommand, historyCommand, exportCommand, renameCommand, mergeCommand, choicesCommand, aboutMeCommand,
	methodCommand, welcomeCommand, helpCommand,
}

// find is the command of that name, nil if there is none.
func find(all []*Command, name string) *Command {
	for _, cmd := range all {
		if cmd.Name == name {
			return cmd
		}
	}
	return nil
}
