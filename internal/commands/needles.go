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
	Help: "Lists the needles and cannulas with their bore, measured or from the wall class, and the syringes. Part " +
		"of a name narrows the list.",
	Free:     true,
	FreeHelp: "part of a name, as in 30G",
	Options:  []Option{pageNumber()},
	Who:      anyMember,
	Quick:    true,
	Examples: []string{"/group needles", "/group needles cannula"},
	Run:      runInstruments,
}

func runInstruments(_ context.Context, _ *Env, call *Call) (Card, error) {
	c := Card{Title: "Needles, cannulas and syringes on the group's list"}
	var rows []Fact
	for _, i := range call.lists.Instruments {
		if !contains([]string{i.Name()}, call.Text) {
			continue
		}
		words, err := boreWords(i)
		if err != nil {
			return Card{}, err
		}
		rows = append(rows, Fact{i.Name(), joinNonEmpty("; ", words, retiredWords(i.RetiredOn))})
	}
	if words := syringeWords(call.lists.Syringes, call.Text); words != "" {
		rows = append(rows, Fact{"Syringes", words})
	}
	if len(rows) == 0 && call.Text != "" {
		return Card{}, refuse("/"+instrumentsName+" alone lists all.", "No needle, cannula or syringe on the group's "+
			"list has %s in its name.", echo(call.Text))
	}
	_, err := call.paged(&c, rows)
	return c, err
}

// boreWords says how wide the tube is, and from where that is known.
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
		return fmt.Sprintf("%s, the minimum for %s wall, which is assumed", bore, calc.AssumedWall), nil
	}
	return fmt.Sprintf("%s, the minimum for %s wall", bore, i.Wall), nil
}

// syringeWords lists the syringes whose names contain a text, with the gas where it was measured.
func syringeWords(all []trade.Syringe, text string) string {
	var names []string
	for _, s := range all {
		if !contains([]string{s.Name}, text) {
			continue
		}
		gas, name := "", s.Name
		if measuredGas(s) {
			gas = trimNumber(s.GasML) + " mL of gas"
		}
		if more := joinNonEmpty(", ", gas, retiredWords(s.RetiredOn)); more != "" {
			name += " (" + more + ")"
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}
