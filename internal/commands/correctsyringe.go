package commands

import (
	"context"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	correctSyringeName = "trainer syringes correct"
	toOption           = "to"
)

var correctSyringeCommand = &Command{
	Name:    correctSyringeName,
	Summary: "Say a syringe's volume, its kind or the gas behind the gel (trainer)",
	Help:    "Its tests stay with it, and answers on every gel tested with it are recalculated.",
	Options: []Option{
		theSyringe(),
		{Name: toOption, Help: "what it is: its volume, as in fixed-needle 0.4 mL or 3 mL",
			Suggest: syringesSold, Kept: true},
		gasBehind(),
		{Name: reasonOption, Help: "where it is said, as in on the box; kept with it", Kept: true},
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer syringes correct syringe:"fixed-needle 0.5 mL" gas:0.01`},
	Plain:    wordsAre(syringeOption),
	Run:      runCorrectSyringe,
}

func runCorrectSyringe(ctx context.Context, env *Env, call *Call) (Card, error) {
	s, err := listedSyringe(call)
	if err != nil {
		return Card{}, err
	}
	after, err := env.Group.CorrectSyringe(ctx, s.ID, call.by, call.value(reasonOption),
		func(s *trade.Syringe) error { return setSyringe(s, call) })
	if err != nil {
		return Card{}, told(err, knowledge.ErrDuplicate, "Retire one of the two with /"+retireSyringeName+".",
			"Another one goes by that name.")
	}
	if after == s {
		return syringeCard(s, "That is on record already."), nil
	}
	return offerUndo(ctx, env, call, syringeCard(after, correctedTool)), nil
}

// setSyringe sets what the options say. Where the gas was an assumption for the old kind, it becomes that of the new.
func setSyringe(s *trade.Syringe, call *Call) error {
	if to := call.value(toOption); to != "" {
		read, err := trade.ReadSyringe(to)
		if err != nil {
			return err
		}
		if s.IsSupplied() != read.IsSupplied() {
			return trade.Refuse("syringe", "the supplied one stays what it is; put another on the list with /%s",
				addSyringeName)
		}
		if !measuredGas(*s) {
			s.GasML = 0
		}
		s.Name, s.FixedNeedle, s.VolumeML = read.Name, read.FixedNeedle, read.VolumeML
	}
	if gas, given := call.number(gasOption); given {
		s.GasML = gas
	}
	return nil
}

// listedSyringe is the syringe of that name on the group's list; else it asks which.
func listedSyringe(call *Call) (s trade.Syringe, err error) {
	typed := call.value(syringeOption)
	options := call.index.ReadSyringe(typed)
	if len(options) > 1 {
		return s, call.askValue(syringeOption, echo(typed)+" could be more than one syringe. Which?",
			labels(options, syringeName))
	}
	if len(options) == 1 {
		typed = options[0].Name
	}
	s, listed := call.lists.Syringe(typed)
	if !listed {
		err = refuse("/"+instrumentsName+" lists them.", "%s is not on the group's list.", echo(typed))
	}
	return s, err
}
