package commands

import (
	"strconv"
	"strings"

	"holdbench/internal/chart"
)

// The paper a picture is drawn on.
const (
	backgroundOption = "background"
	lightPaper       = "light"
	darkPaper        = "dark"
)

// backgroundChoice is the option for the paper. Light unless said: what is read
// best by day.
func backgroundChoice() Option {
	return Option{Name: backgroundOption, Help: "the paper it is drawn on; light unless said",
		Choices: []string{lightPaper, darkPaper}}
}

// onDark reports whether the picture is to be on dark paper.
func (r Request) onDark() bool { return r.value(backgroundOption) == darkPaper }

// anew is the same question without who asked it: whoever presses a button asks.
func (r Request) anew() Request { return Request{Command: r.Command, Values: r.Values} }

// otherPaper asks for the same picture on the other paper.
func (r Request) otherPaper() Action {
	other := darkPaper
	if r.onDark() {
		other = lightPaper
	}
	return Action{Label: "on " + other + " paper", Request: r.with(backgroundOption, other), Tap: true}
}

// drawn is a finished picture of a command, under its name and, from the second on, the
// number of its page.
func (r Request) drawn(p chart.Picture, page int) *Picture {
	name := r.Command[strings.LastIndex(r.Command, " ")+1:]
	if page > 1 {
		name += "-page-" + strconv.Itoa(page)
	}
	if r.onDark() {
		name += "-" + darkPaper
	}
	return &Picture{Name: name + ".png", Alt: p.Alt, PNG: p.PNG}
}
