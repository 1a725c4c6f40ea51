package commands

import (
	"context"
	"regexp"
	"slices"
	"strings"
)

// How much is read of a typed line and of an option's value, in characters. Nobody means to type more.
const (
	maxText  = 2000
	maxValue = 200
)

// option is the declared option of that name, nil if there is none.
func (cmd *Command) option(name string) *Option {
	i := slices.IndexFunc(cmd.Options, func(o Option) bool { return o.Name == name })
	if i < 0 {
		return nil
	}
	return &cmd.Options[i]
}

func (cmd *Command) unknownOption(name string) error {
	return refuse(cmd.usage(), "/%s has no option %s.", cmd.Name, echo(name))
}

// usage is one sentence on what the command takes.
func (cmd *Command) usage() string {
	if len(cmd.Options) == 0 {
		return "It takes nothing: write /" + cmd.Name + " alone."
	}
	names := make([]string, len(cmd.Options))
	for i, o := range cmd.Options {
		names[i] = o.Name
	}
	return "It takes " + strings.Join(names, ", ") + ", each as name:value."
}

// optionStart is where a name:value pair may begin: a word of letters, a colon and a value without blanks between. The
// 1:1 of a dilution is no pair.
var optionStart = regexp.MustCompile(`(?:^|\s)([A-Za-z_]+):(?:[^\s:])`)

// optionNext is where a value ends because the next pair begins.
var optionNext = regexp.MustCompile(`\s[A-Za-z_]+:[^\s:]`)

// split takes the name:value pairs out of a typed line and returns the text outside them. A value goes on to the next
// pair or the end of the line, unless it is in quotation marks.
func (cmd *Command) split(line string) (text string, values map[string]string, err error) {
	values = map[string]string{}
	outside, unknown := "", ""
	for from := 0; from < len(line); {
		at := optionStart.FindStringSubmatchIndex(line[from:])
		if at == nil {
			break
		}
		start, colon := from+at[2], from+at[3]
		name := strings.ToLower(line[start:colon])
		if cmd.option(name) == nil {
			if !cmd.Free && cmd.Plain == nil {
				return "", nil, cmd.unknownOption(name)
			}
			if from = colon + 1; !cmd.Free && unknown == "" && !strings.HasPrefix(line[from:], "//") {
				unknown = name // part of the words, unless there are options as well
			}
			continue
		}
		outside += line[:start] + " "
		if _, twice := values[name]; twice {
			return "", nil, refuse("Give it once.", "The option %s is there twice.", name)
		}
		if values[name], line, err = cutValue(name, line[colon+1:]); err != nil {
			return "", nil, err
		}
		from = 0
	}
	if unknown != "" && len(values) > 0 {
		return "", nil, cmd.unknownOption(unknown)
	}
	return strings.Join(strings.Fields(outside+line), " "), values, nil
}

// cutValue takes the value off the front of the text after an option's colon.
func cutValue(name, rest string) (value, left string, err error) {
	for _, marks := range [][2]string{{`"`, `"`}, {"“", "”"}} {
		if after, quoted := strings.CutPrefix(rest, marks[0]); quoted {
			value, left, closed := strings.Cut(after, marks[1])
			if !closed {
				return "", "", refuse(`Write it as `+name+`:"…".`, "The quotation mark after %s is not closed.", name)
			}
			return value, left, nil
		}
	}
	if next := optionNext.FindStringIndex(rest); next != nil {
		return strings.TrimSpace(rest[:next[0]]), rest[next[0]:], nil
	}
	return strings.TrimSpace(rest), "", nil
}

// wordsAre takes the words of a typed line for the value of an option, unless that is given by itself.
func wordsAre(option string) Plain {
	return func(_ context.Context, _ *Env, call *Call) error {
		if call.text != "" && call.Values[option] == "" {
			call.take(option, call.text)
			call.text, call.Text = "", ""
		}
		return nil
	}
}
