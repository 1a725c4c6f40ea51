package commands

import (
	"cmp"
	"context"
	"strings"

	"holdbench/internal/commands/logline"
)

// watchForm takes the result of the label on the card, for somebody who filmed it.
func watchForm() *Form {
	return &Form{
		Title: "The result of this label",
		Fields: []Field{{Name: resultField, Label: "Seconds, none, or film from–to",
			Help: "7.13, none, 0:12.40–0:17.13 60 fps; a note in brackets", Most: 150, Required: true}},
		Keep: []string{pressOption},
		When: func(req Request) bool {
			return strings.HasPrefix(req.value(pressOption), pressTyped+" ") && req.value(resultField) == ""
		},
	}
}

// typed logs a typed result, read as one of /bench results, and goes on to the next label.
func (s *session) typed(ctx context.Context, result string) (Card, error) {
	results, _ := logline.ReadSession(s.watch.Item.Label() + " " + result)
	switch {
	case len(results) != 1:
		return Card{}, refuse("For several write /"+batchName+".", "A label takes one result at a time.")
	case results[0].Problem != "" && !results[0].Unusual:
		return Card{}, refuse("Write seconds, none, or a film's start and end.", "%s", results[0].Problem)
	case results[0].Unusual:
		return Card{}, refuse("If it is right, log it by /"+batchName+".", "%s is unusual.", echo(result))
	}
	line := results[0].Line
	t, err := s.onBench()
	if err != nil {
		return Card{}, err
	}
	if t.Timing, _, err = timedBy(line, func(string) {}); err != nil {
		return Card{}, err
	}
	o := line.Outcomes[0]
	t.Film.Marks, t.Note, t.WatchedS = line.Film.Marks, line.Note, max(cmp.Or(o.WatchedS, t.WatchedS), o.Seconds)
	endedAs(&t, o)
	logged, err := s.env.Group.LogWatch(ctx, s.watch.ID, s.by, t)
	if err != nil {
		return Card{}, err
	}
	return s.after(ctx, logged)
}
