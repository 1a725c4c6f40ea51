package commands

import (
	"context"
	"fmt"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

const instrumentsName = "group needles"

var instrumentsCommand = &Command{
	Name:    instrumentsName,
	Summary: "The needles, cannulas and syringes on the group's list",
	Help: "Lists the needles and cannulas with their bore, measured or taken from the wall class, and the " +
		"syringes. Part of a name narrows the list.",
	Free:     true,
	FreeHelp: "part of a name, as in 30G",
	Options:  []Option{pageNumber()},
	Who:      anyMember,
	Examples: []string{"/group needles", "/group needles cannula"},
	Run:      runInstruments,
}

func runInstruments(ctx context.Context, env *Env, call *Call) (Card, error) {
	v, err := env.Group.Vocabulary(ctx)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "Needles, cannulas and syringes on the group's list"}
	var rows []Fact
	for _, i := range v.Instruments {
		if !contains([]string{i.Name()}, call.Text) {
			continue
		}
		words, err := boreWords(i)
		if err != nil {
			return Card{}, err
		}
		if i.RetiredOn != "" {
			words += "; retired " + i.RetiredOn
		}
		rows = append(rows, Fact{i.Name(), words})
	}
	if len(rows) == 0 && call.Text != "" {
		return Card{}, refuse("/"+instrumentsName+" alone lists all.", "No needle or cannula on the group's list has "+
			"%s in its name.", echo(call.Text))
	}
	if call.Text == "" && len(v.Syringes) > 0 {
		rows = append(rows, Fact{"Syringes", syringeWords(v.Syringes)})
	}
	_, _, err = call.paged(&c, rows)
	return c, err
}

// boreWords says how wide the tube is and how that is known.
func boreWords(i trade.Instrument) (string, error) {
	tube, assumed, err := i.Tube()
	if err != nil {
		return "", err
	}
	bore := fmt.Sprintf("bore %.3g mm", tube.Bore.Millimetres())
	switch {
	case i.BoreMM > 0:
		return bore + " on record", nil
	case assumed:
		return fmt.Sprintf("%s, the least for %s wall, which is assumed", bore, calc.AssumedWall), nil
	}
	return fmt.Sprintf("%s, the least for %s wall", bore, i.Wall), nil
}

func syringeWords(all []trade.Syringe) string {
	names := make([]string, len(all))
	for i, s := range all {
		names[i] = s.Name
	}
	return strings.Join(names, ", ")
}
