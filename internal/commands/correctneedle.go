package commands

import (
	"context"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const correctNeedleName = "trainer needles correct"

var correctNeedleCommand = &Command{
	Name:    correctNeedleName,
	Summary: "Say a needle's or cannula's wall class, bore or length in the hub (trainer)",
	Help:    "Answers on every gel tested with it are recalculated. With the name alone it asks for the wall class.",
	Options: append(append([]Option{theNeedle()}, tubeOptions()...),
		Option{Name: reasonOption, Help: "where it is said, as in on the box; kept with it", Kept: true}),
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer needles correct instrument:"30G 13 mm needle" bore:0.17`},
	Plain:    wordsAre(instrumentOption),
	Run:      runCorrectNeedle,
}

func runCorrectNeedle(ctx context.Context, env *Env, call *Call) (Card, error) {
	i, err := listedInstrument(call)
	if err != nil {
		return Card{}, err
	}
	if !slices.ContainsFunc(tubeOptions(), func(o Option) bool { return call.given(o.Name) }) {
		return askWall(i, call)
	}
	after, err := env.Group.CorrectInstrument(
		ctx,
		i.ID,
		call.by,
		call.value(reasonOption),
		func(i *trade.Instrument) error {
			setTube(i, call)
			return nil
		},
	)
	if err != nil {
		return Card{}, told(err, knowledge.ErrDuplicate, "Retire one of the two with /"+retireNeedleName+".",
			"Another one goes by that name: the wall class is part of it.")
	}
	if after == i {
		words, err := boreWords(i)
		return Card{Title: i.Name(), Verdict: "That is on record already: " + words + "."}, err
	}
	return needleCard(ctx, env, call, after, correctedTool)
}

// correctedTool is the verdict on a needle, cannula or syringe that was corrected.
const correctedTool = "Corrected. Answers on every gel tested with it are being recalculated."

// askWall asks for the wall class, of those that the standard has for the gauge.
func askWall(i trade.Instrument, call *Call) (Card, error) {
	words, err := boreWords(i)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "Which wall class has the " + i.Name() + "?"}
	c.fact("Now", "%s", words)
	c.line("It is printed on the box or in the maker's catalogue.")
	for _, wall := range calc.WallClasses() {
		if bore, err := calc.MinimumBore(i.Gauge, wall); err == nil {
			label := string(wall) + ", bore at least " + trimNumber(bore.Millimetres()) + " mm"
			c.Choices = append(c.Choices, Choice{Label: label, Request: call.with(wallOption, string(wall))})
		}
	}
	c.Choices = append(c.Choices, Choice{Label: wallUnknown, Request: call.with(wallOption, wallUnknown)})
	return c, nil
}

// listedInstrument is the needle or cannula of that name on the group's list; else it asks which.
func listedInstrument(call *Call) (i trade.Instrument, err error) {
	named, err := namedInstrument(call)
	if err != nil {
		return i, err
	}
	i, listed := call.lists.Instrument(named)
	if !listed {
		err = refuse("/"+instrumentsName+" lists them.", "%s is not on the group's list.", named.Name())
	}
	return i, err
}
