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

// backgroundChoice is the option for the paper: light unless said, which reads best by day.
func backgroundChoice() Option {
	return Option{Name: backgroundOption, Help: "the paper it is drawn on; light unless said",
		Choices: []string{lightPaper, darkPaper}}
}

// onDark reports whether the picture is to be on dark paper.
func (r Request) onDark() bool { return r.value(backgroundOption) == darkPaper }

// withoutAsker is the same question for whoever presses the button to ask.
func (r Request) withoutAsker() Request { return Request{Command: r.Command, Values: r.Values} }

// otherPaper asks for the same picture on the other paper.
func (r Request) otherPaper() Action {
	other := darkPaper
	if r.onDark() {
		other = lightPaper
	}
	return Action{Label: "on " + other + " paper", Request: r.with(backgroundOption, other), Tap: true}
}

// drawn is a command's finished picture, with a file name that says which: the command, the page from the second on,
// and whether it is on dark paper.
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
