package commands

import (
	"bytes"
	"context"

	"holdbench/internal/knowledge"
)

const myFileName = "me file"

var myFileCommand = &Command{
	Name:    myFileName,
	Summary: "All that is stored about you here, as a file to take away",
	Help: "One thing a line: who you are here, your tests, your stock, and what you took on, put aside, agreed " +
		"to and did to the log.",
	Who:      anyMember,
	Quick:    true,
	Private:  true,
	Examples: []string{"/me file"},
	Run:      onRecord(recordFileCard),
}

// recordFileCard gives all of it as a file.
func recordFileCard(ctx context.Context, env *Env, call *Call, r knowledge.Record) (Card, error) {
	var data bytes.Buffer
	if err := env.Group.ExportRecord(ctx, &data, r.Member); err != nil {
		return Card{}, err
	}
	file, rows, err := csvFile(call, "me", data.Bytes(), "Ask whoever runs the bot for it.")
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "What is stored about you, as a file", Files: []File{file}}
	c.fact(file.Name, "one thing a line, %s.", count(rows, "line"))
	c.Actions = []Action{toAsk("have it erased", eraseName)}
	return c, nil
}
