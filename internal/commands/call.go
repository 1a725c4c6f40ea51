package commands

import (
	"context"
	"errors"
	"maps"
	"time"
	"unicode/utf8"

	"holdbench/internal/knowledge"
)

// Call is a request that has been read: the command that runs, and the value of every option that was given by a form,
// a pin, a name:value pair or plain words. The Request in it has the same as it was typed, so that a question back can
// ask it again.
type Call struct {
	Request
	view
	by     knowledge.Member // the asker as the group's list has them, for a command that Admits
	cmd    *Command
	all    []*Command // every command: a handler that named the catalogue would make a cycle
	text   string     // free text, as the command reads it
	said   string     // the words of a log line, which its command reads by itself
	values map[string]Value
}

// Value is one option as read: what was typed and, for the kinds other than Text, what it means.
type Value struct {
	Text   string // one of Choices in the spelling of the declaration
	Number float64
	Day    time.Time
	Yes    bool
}

// call reads a request to cmd.
//
// Errors: *UserError, which names the option; *questionBack where the words could mean more than one thing, or where
// what would be stored may be about a patient.
func (cmd *Command) call(ctx context.Context, env *Env, all []*Command, req Request) (*Call, error) {
	if err := noPatientDataIn(req.Filled); err != nil {
		return nil, err
	}
	c := &Call{Request: req, cmd: cmd, all: all}
	c.Values = map[string]string{}
	if !cmd.Alone {
		var err error
		if c.view, err = env.view(ctx); err != nil {
			return nil, err
		}
	}
	maps.Copy(c.Values, req.Values)
	for _, gather := range []func() error{c.takeForm, c.takePin, c.takePairs} {
		if err := gather(); err != nil {
			return nil, err
		}
	}
	if c.text = c.Text; cmd.Plain != nil {
		if err := cmd.Plain(ctx, env, c); err != nil {
			return nil, err
		}
	}
	if err := c.readValues(); err != nil {
		return nil, err
	}
	return c, c.doubt()
}

// takePairs takes the name:value pairs out of a typed line.
func (c *Call) takePairs() error {
	if utf8.RuneCountInString(c.Text) > maxText {
		return refuse("Ask in one line.", "That is longer than %d characters.", maxText)
	}
	if c.Typed {
		text, pairs, err := c.cmd.split(c.Text)
		if err != nil {
			return err
		}
		c.Text, c.Typed = text, false
		maps.Copy(c.Values, pairs)
	}
	return noPatientDataSaid(c.Text)
}

// readValues reads every option by its kind.
func (c *Call) readValues() error {
	if c.text != "" && !c.cmd.Free {
		return refuse(c.cmd.usage(), "/%s does not know what to do with %s.", c.cmd.Name, echo(c.text))
	}
	for name := range c.Values {
		if c.cmd.option(name) == nil {
			return c.cmd.unknownOption(name)
		}
	}
	c.values = map[string]Value{}
	for _, o := range c.cmd.Options {
		value, given, err := o.read(c.now, c.Values[o.Name])
		switch {
		case err != nil:
			return c.offering(o.Name, err)
		case given:
			c.values[o.Name] = value
		case o.Required && c.said == "": // the line's words may say it instead
			return refuse(o.accepts(), "The option %s is missing.", o.Name)
		default:
			delete(c.Values, o.Name)
		}
	}
	return c.noPatientData()
}

// offering asks which one is meant where an option can be read in several ways; other errors stay as they are.
func (c *Call) offering(name string, err error) error {
	several, is := errors.AsType[*severalReadings](err)
	if !is {
		return err
	}
	back := &questionBack{Card{Title: several.Problem}}
	back.line("%s", several.Hint)
	for _, reading := range several.readings {
		back.Choices = append(back.Choices, Choice{Label: reading, Request: c.Request.with(name, reading)})
	}
	return back
}

// value is an option's text, "" where it was not given.
func (c *Call) value(name string) string { return c.values[name].Text }

// number is an option's number; ok is false where it was not given.
func (c *Call) number(name string) (value float64, ok bool) {
	v, ok := c.values[name]
	return v.Number, ok
}

// whole is an option's whole number, or otherwise where it was not given.
func (c *Call) whole(name string, otherwise int) int {
	if v, given := c.number(name); given {
		return int(v)
	}
	return otherwise
}

// day is an option's day as 2006-01-02, "" where it was not given.
func (c *Call) day(name string) string {
	if !c.given(name) {
		return ""
	}
	return c.values[name].Day.Format(dateForm)
}

// yes reports whether an option was given and says yes.
func (c *Call) yes(name string) bool { return c.values[name].Yes }

// given reports whether an option was given.
func (c *Call) given(name string) bool { _, given := c.values[name]; return given }

// take sets an option to what the words say, unless it was given by itself or the command has no such option.
func (c *Call) take(name, text string) {
	if text != "" && c.Values[name] == "" && c.cmd.option(name) != nil {
		c.Values[name] = text
	}
}

// example is a line to type for the command.
func (c *Call) example() string { return c.cmd.Examples[0] }
