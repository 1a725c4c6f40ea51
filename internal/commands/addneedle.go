package commands

import (
	"context"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	addNeedleName = "trainer needles add"
	wallOption    = "wall"
	boreOption    = "bore"
	hubOption     = "hub"
	wallUnknown   = "not known"
)

var addNeedleCommand = &Command{
	Name:    addNeedleName,
	Summary: "Put a needle or cannula on the group's list (trainer)",
	Help: "The wall class is printed on the box or in the maker's catalogue. It sets the bore, and the bore sets the " +
		"time more than anything else. Where it is unknown, estimates allow for every wall class sold.",
	Options: append([]Option{{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle",
		Suggest: suggestInstruments, Required: true}}, tubeOptions()...),
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer needles add instrument:"33G 4 mm needle" wall:"thin"`},
	Plain:    wordsAre(instrumentOption),
	Run:      runAddNeedle,
}

// tubeOptions are what is recorded of a needle or cannula beside its name.
func tubeOptions() []Option {
	return []Option{
		{Name: wallOption, Help: "the wall class", Choices: append(namesOf(calc.WallClasses()), wallUnknown),
			Reads: wallReader(wallUnknown)},
		{Name: boreOption, Help: "the bore as measured; 0 where it is not", Kind: Number, Unit: "mm", Min: 0, Max: 2},
		{Name: hubOption, Help: "how much of it is held inside the hub", Kind: Number, Unit: "mm", Min: 0, Max: 30},
	}
}

// wallReader reads a wall class as people write it. It returns unknown for words that say it is not known.
func wallReader(unknown string) func(string) string {
	return func(text string) string {
		wall, ok := question.ReadWall(text)
		if ok && wall == "" {
			return unknown
		}
		return string(wall)
	}
}

// setTube sets what tubeOptions were given.
func setTube(i *trade.Instrument, call *Call) {
	switch wall := call.value(wallOption); wall {
	case "":
	case wallUnknown:
		i.Wall = ""
	default:
		i.Wall = calc.WallClass(wall)
	}
	if bore, given := call.number(boreOption); given {
		i.BoreMM = bore
	}
	if hub, given := call.number(hubOption); given {
		i.HubMM = hub
	}
}

func runAddNeedle(ctx context.Context, env *Env, call *Call) (Card, error) {
	i, err := namedInstrument(call)
	if err != nil {
		return Card{}, err
	}
	i.ID, i.Number = 0, 0
	setTube(&i, call)
	added, err := env.Group.AddInstrumentBy(ctx, i, call.by)
	if err != nil {
		return Card{}, told(err, knowledge.ErrDuplicate, "/"+correctNeedleName+" records more about it.",
			"%s is on the group's list already.", i.Name())
	}
	return needleCard(ctx, env, call, added, "Now on the group's list.")
}

// needleCard is a receipt about a needle or cannula.
func needleCard(ctx context.Context, env *Env, call *Call, i trade.Instrument, verdict string) (Card, error) {
	words, err := boreWords(i)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: i.Name(), Verdict: verdict}
	c.fact("Tube", "%s; %s mm of it in the hub", words, trimNumber(i.Hub().Millimetres()))
	return offerUndo(ctx, env, call, c), nil
}
