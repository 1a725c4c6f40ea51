package commands

import (
	"slices"
	"strings"
	"time"

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

// Request is one question to one command as it was typed, picked or pressed. Nothing of it has been read yet: that
// makes it a Call.
type Request struct {
	Command string
	Values  map[string]string // by option name, as typed
	Text    string            // free text
	Asker   Asker
	Key     string    // the platform's own name for this request: two with the same key log one test
	At      time.Time // when it was asked, by the platform's clock; zero where there is none
	Place   string    // the platform's own name for where it was asked; "": nothing is remembered there
	About   string    // a combination by its pin, which leaves nothing open

	Attached *Attached // a file that came with it, nil for none

	Filled map[string]string // the fields of the command's form, as typed
	Post   *Post             // the message that the form is to be filled in from
	Link   string            // the address of that message, kept with what is logged

	NoPatient bool // the asker said that what is typed is not about a patient

	Replies []string // the asker's answers to what a log line left open, in their order

	Typed bool   // Text is part of a typed line and may hold name:value pairs
	Said  string // the whole of that line, without its slash
}

// Typed is the request that a typed line makes. A line that begins with a slash, or with a command's own word, is that
// command; "help" alone is help; a question about what a negative is worth is that; anything else asks about a hold.
func Typed(line string, asker Asker) Request {
	line = strings.TrimSpace(line)
	after, slash := strings.CutPrefix(line, "/")
	req := Request{Asker: asker, Said: after, Typed: true}
	if strings.EqualFold(strings.TrimRight(after, "?!. "), "help") {
		req.Command = helpName
		return req
	}
	if about, is := restOfNegative(line); is {
		req.Command, req.Text, req.Typed = negativeName, about, false
		return req
	}
	open := opened
	if slash {
		open = slashed
	}
	if req.Command, req.Text = open(after); req.Command == "" {
		req.Command, req.Text, req.Typed = holdName, line, false
	}
	return req
}

// slashed is the command that a line after a slash names, and what comes after the name. An unknown name is returned as
// it is.
func slashed(line string) (command, rest string) {
	if cmd, rest := named(line); cmd != nil {
		return cmd.Name, rest
	}
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	if t := topic(strings.ToLower(word)); t != nil {
		switch {
		case rest == "" && t.bare != "":
			return t.bare, ""
		case rest != "" && t.rest != "":
			return t.rest, rest
		}
	}
	return strings.ToLower(word), rest
}

// opened is the command that a line without a slash opens, "" where it opens none.
func opened(line string) (command, rest string) {
	if cmd, rest := named(line); cmd != nil {
		return opens(cmd, "", rest)
	}
	if command, rest := saidInASentence(line); command != "" {
		return command, rest
	}
	word, rest, _ := strings.Cut(line, " ")
	word, rest = strings.ToLower(strings.TrimRight(word, ":,.!?")), strings.TrimSpace(rest)
	if cmd := find(catalogue, openers[word]); cmd != nil {
		return opens(cmd, word, rest)
	}
	t := topic(word)
	switch {
	case t == nil:
		return "", ""
	case rest == "":
		return opens(find(catalogue, t.bare), "", "")
	case t.rest == "":
		return "", ""
	}
	return opens(find(catalogue, t.rest), word, rest)
}

// boughtWith are the words before which "stock" is no command: the stock needle is the one in the box.
var boughtWith = []string{"needle", "needles", "cannula", "cannulas", "syringe", "syringes"}

// changing are the commands that a word opens and that change the log, a stock or a list.
var changing = []string{
	logName, batchName, stockName, stockRemoveName, takeName, giveUpName, asideName, correctName, withdrawName,
	restoreName,
}

// opens is the command of a line without a slash that begins with word, cmd's own, and goes on with rest; "" where the
// line is meant for no command. "Hold …" and "help me with …" ask about a hold.
func opens(cmd *Command, word, rest string) (command, text string) {
	next, _, _ := strings.Cut(rest, " ")
	switch {
	case cmd == nil || cmd.Name == holdName || cmd.Name == helpName:
		return "", ""
	case slices.Contains(changing, cmd.Name) && question.Asks(strings.TrimSpace(word+" "+rest)):
		return "", "" // "take tamsel soft, 27G 13 mm, how many seconds?": a question changes nothing
	case cmd.Name == negativeName && rest != "" && !namesAssumption(rest):
		return "", "" // "negative aspiration on …?" asks about a hold
	case cmd.Name == correctName && !toCorrect.MatchString(rest):
		return "", "" // "correct me if I am wrong"
	case cmd.Name == stockName && slices.Contains(boughtWith, strings.ToLower(next)):
		return "", ""
	case rest == "" || cmd.Free || cmd.Plain != nil:
		return cmd.Name, rest
	}
	return "", ""
}

// Line is the request as one would type it.
func (r Request) Line() string {
	line := strings.TrimSpace("/" + r.Command + " " + r.Text)
	if cmd := find(catalogue, r.Command); cmd != nil {
		for _, o := range cmd.Options {
			if value, given := r.Values[o.Name]; given {
				line += " " + o.Name + ":" + quoteValue(value)
			}
		}
	}
	return line
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

// value is an option as it was typed, "" where it was not given.
func (r Request) value(name string) string { return r.Values[name] }

// Keeping are those of the named options that the request has.
func (r Request) Keeping(names ...string) map[string]string {
	values := map[string]string{}
	for _, name := range names {
		if v := r.value(name); v != "" {
			values[name] = v
		}
	}
	return values
}

// typedTexts are all the texts of a request that somebody wrote.
func (r Request) typedTexts() []string {
	texts := append([]string{r.Text, r.Said}, r.Replies...)
	for _, m := range []map[string]string{r.Values, r.Filled} {
		for name, value := range m {
			texts = append(texts, name, value)
		}
	}
	if r.Post != nil {
		texts = append(texts, r.Post.Text)
	}
	return append(texts, r.Command)
}
