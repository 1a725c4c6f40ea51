package commands

import (
	"context"
	"errors"
	"maps"
	"slices"

	"holdbench/internal/fault"
)

// Form is a command's options as a form of a few lines, for a surface that can show one: on a phone it is quicker to
// fill in than a line of options.
type Form struct {
	Title  string  // at most 45 characters
	Fields []Field // at most 5

	// Post is the name under which a posted message offers the form, filled in from the message; "" where none does.
	Post string

	// When says which requests open the form, where the bare command has an answer of its own; nil: those that lack
	// a required option.
	When func(Request) bool

	// Which names the fields that are shown for a request; nil for all.
	Which func(Request) []string

	// Keep are options that the form does not ask for: they come from the request that opened it.
	Keep []string

	// Fill gives the fields, by name, when the form opens for the first time; nil for empty ones.
	Fill func(context.Context, *Env, Request) (map[string]string, error)

	// Read turns the fields, by name, into options; nil where they are options by the same names. Errors: *UserError.
	Read func(view, map[string]string) (map[string]string, error)
}

// Field is one line of a Form.
type Field struct {
	Name     string // unique in the form
	Label    string // at most 45 characters
	Help     string // at most 100 characters
	Most     int    // characters
	Required bool
	Long     bool   // several lines
	Choices  []Item // if any, one of them is picked

	FilmLabel, FilmHelp string // the label and help where a post with a film opens the form; "": as elsewhere
}

// OpenForm is a form as it is shown, with the contents of its fields by name.
type OpenForm struct {
	*Form
	Filled map[string]string
}

// Post is a message in a channel.
type Post struct {
	Text string
	Film bool // a film hangs on it
}

// WantsForm reports whether a request opens its command's form: there is one, and the request lacks something or is
// bare.
func WantsForm(req Request) bool {
	cmd := find(catalogue, req.Command)
	if cmd == nil || cmd.Form == nil {
		return false
	}
	if cmd.Form.When != nil && req.Filled == nil && req.Post == nil {
		return cmd.Form.When(req)
	}
	if req.Filled != nil || req.Post != nil || len(req.Values) == 0 && req.Text == "" && req.About == "" {
		return true
	}
	for _, o := range cmd.Options {
		if o.Required && req.value(o.Name) == "" {
			return true
		}
	}
	return false
}

// Empty is a command's form for a request, with nothing filled in.
func Empty(cmd *Command, req Request) *OpenForm {
	form := *cmd.Form
	form.Fields = slices.Clone(form.Fields)
	for i, field := range form.Fields {
		if req.Post != nil && req.Post.Film && field.FilmLabel != "" {
			form.Fields[i].Label, form.Fields[i].Help = field.FilmLabel, field.FilmHelp
		}
	}
	if form.Which != nil {
		shown := form.Which(req)
		form.Fields = slices.DeleteFunc(form.Fields, func(f Field) bool { return !slices.Contains(shown, f.Name) })
	}
	return &OpenForm{Form: &form, Filled: map[string]string{}}
}

// Open opens the form of a request. Where there is none, or the asker may not use the command, it returns the answer
// instead.
func Open(ctx context.Context, env *Env, req Request) (*OpenForm, Card) {
	cmd := find(catalogue, req.Command)
	if cmd == nil || cmd.Form == nil || !req.Asker.Role.Covers(cmd.Who) {
		return nil, Answer(ctx, env, req)
	}
	open := Empty(cmd, req)
	filled, err := req.Filled, error(nil)
	if filled == nil && cmd.Form.Fill != nil {
		filled, err = cmd.Form.Fill(ctx, env, req)
	}
	var user *UserError
	if errors.As(err, &user) { // the form would be of no use: the command says why
		return nil, Answer(ctx, env, req)
	}
	if err != nil {
		// An empty form still takes a test: better than none.
		env.Log.WarnContext(ctx, "form opens empty", "command", cmd.Name, "error",
			fault.Redact(err.Error(), req.typedTexts()...))
		return open, Card{}
	}
	for _, f := range open.Fields {
		value := []rune(filled[f.Name])
		open.Filled[f.Name] = string(value[:min(len(value), f.Most)])
	}
	return open, Card{}
}

// takeForm adds the options of a filled-in form to those of the request. The pin and the words that the form was opened
// with go: its fields show them, and somebody may have changed them there.
func (c *Call) takeForm() error {
	if c.Filled == nil || c.cmd.Form == nil {
		return nil
	}
	read, err := c.Filled, error(nil)
	if c.cmd.Form.Read != nil {
		read, err = c.cmd.Form.Read(c.view, c.Filled)
	}
	maps.Copy(c.Values, read)
	c.Filled, c.About, c.Text = nil, "", ""
	return err
}

// correction offers a refused request once more in a form that is filled in with it, so that nothing is typed twice.
func correction(card Card, cmd *Command, req Request) Card {
	switch {
	case !card.Refused:
	case req.Filled != nil:
		req.Key = ""
		card.Actions = append(card.Actions, Action{Label: "correct it", Request: req, Tap: true})
	case cmd != nil && cmd.Form != nil && cmd.Form.When == nil && req.Asker.Role.Covers(cmd.Who):
		card.Actions = append(card.Actions, Action{Label: "fill in the form", Request: cmd.formOf(req), Tap: true})
	}
	return card
}

// formOf is a request that opens the command's form with what req says filled in. It leaves the last required option
// out: a request with all of them would be run instead.
func (cmd *Command) formOf(req Request) Request {
	again := Request{Command: cmd.Name, Link: req.Link, Values: map[string]string{}}
	last := ""
	for _, o := range cmd.Options {
		if o.Required {
			last = o.Name
		}
	}
	if last == "" {
		return again
	}
	maps.Copy(again.Values, req.Values)
	text := req.Text
	if req.Typed {
		if rest, values, err := cmd.split(text); err == nil {
			text = rest
			maps.Copy(again.Values, values)
		}
	}
	delete(again.Values, last)
	if text != "" && cmd.Form.Post != "" {
		again.Post = &Post{Text: text}
	}
	return again
}
