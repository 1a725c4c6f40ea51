package commands

import (
	"context"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	addSyringeName = "trainer syringes add"
	gasOption      = "gas"
)

var addSyringeCommand = &Command{
	Name:    addSyringeName,
	Summary: "Put a syringe on the group's list (trainer)",
	Help: "It is named by its volume and by whether the needle is fixed. The gas left between gel and stopper " +
		"counts for the time; where nobody has measured it, the usual volume for its kind is assumed.",
	Options: []Option{
		{Name: syringeOption, Help: "its volume, as in fixed-needle 0.4 mL or 3 mL", Suggest: syringesSold,
			Required: true, Kept: true},
		gasBehind(),
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer syringes add syringe:"fixed-needle 0.4 mL"`},
	Plain:    wordsAre(syringeOption),
	Run:      runAddSyringe,
}

// syringesSold are syringes that the trade sells in most places (practice, no source).
var syringesSold = likely("fixed-needle 0.4 mL", "fixed-needle 0.8 mL", "1 mL", "2 mL", "3 mL", "5 mL", "10 mL")

// gasBehind is what is recorded of a syringe beside its name.
func gasBehind() Option {
	return Option{Name: gasOption, Help: "the gas behind the gel, as measured; 0 where it is not", Kind: Number,
		Unit: "mL", Min: 0, Max: 5}
}

func runAddSyringe(ctx context.Context, env *Env, call *Call) (Card, error) {
	s, err := trade.ReadSyringe(call.value(syringeOption))
	if err != nil {
		return Card{}, err
	}
	if gas, _ := call.number(gasOption); gas > 0 {
		s.GasML = gas
	}
	added, err := env.Group.AddSyringeBy(ctx, s, call.by)
	if err != nil {
		return Card{}, told(err, knowledge.ErrDuplicate, "/"+correctSyringeName+" records more about it.",
			"%s is on the group's list already.", s.Name)
	}
	return offerUndo(ctx, env, call, syringeCard(added, "Now on the group's list.")), nil
}

// syringeCard is a receipt about a syringe.
func syringeCard(s trade.Syringe, verdict string) Card {
	c := Card{Title: s.Name, Verdict: verdict}
	words := trimNumber(s.GasML) + " mL"
	if !measuredGas(s) {
		words += ", assumed for its kind"
	}
	c.fact("Gas behind the gel", "%s", words)
	return c
}

// measuredGas reports whether the gas on record differs from what is assumed for the syringe's kind.
func measuredGas(s trade.Syringe) bool {
	return s.GasML != trade.Syringe{FixedNeedle: s.FixedNeedle}.Filled().GasML
}
