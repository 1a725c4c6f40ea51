package commands

import (
	"slices"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
)

// Asker is who asks, as the surface knows them.
type Asker struct {
	Ref  string // the platform's own name for the person
	Name string
	Role knowledge.Role

	Belongs     bool // the surface vouches that the person belongs to the group
	RoleUnknown bool // the surface cannot tell here whether the person is a trainer: elsewhere it can
}

// Request is one question to one command as it was typed, picked or pressed. Nothing
// of it has been read: a Call is what it comes down to.
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

	Typed bool // Text is a typed line, which may hold name:value pairs
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
	return Request{Command: strings.ToLower(name), Text: rest, Asker: asker, Typed: true}
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

// value is an option as it was typed, "" where none was given.
func (r Request) value(name string) string { return r.Values[name] }

// only is those options of the request that are given.
func (r Request) only(names ...string) map[string]string {
	values := map[string]string{}
	for _, name := range names {
		if v := r.value(name); v != "" {
			values[name] = v
		}
	}
	return values
}
