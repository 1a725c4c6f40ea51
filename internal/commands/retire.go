package commands

import (
	"context"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	retireGelName     = "trainer gels retire"
	retireNeedleName  = "trainer needles retire"
	retireSyringeName = "trainer syringes retire"
)

var retireGelCommand = retiring(retireGelName,
	"Take a gel out of use: no longer suggested or put up for testing; its tests stay (trainer)",
	theGel(), `product:"Orrick Mid"`, productAsked, (*knowledge.Group).RetireProduct,
	func(p trade.Product) (int64, string, string) { return p.ID, p.Name, p.RetiredOn })

var retireNeedleCommand = retiring(retireNeedleName,
	"Take a needle or cannula out of use: no longer suggested; its tests stay (trainer)",
	theNeedle(), `instrument:"30G 13 mm needle"`, listedInstrument, (*knowledge.Group).RetireInstrument,
	func(i trade.Instrument) (int64, string, string) { return i.ID, i.Name(), i.RetiredOn })

var retireSyringeCommand = retiring(retireSyringeName,
	"Take a syringe out of use: no longer suggested or put up for testing; its tests stay (trainer)",
	theSyringe(), `syringe:"fixed-needle 0.5 mL"`, listedSyringe, (*knowledge.Group).RetireSyringe,
	func(s trade.Syringe) (int64, string, string) { return s.ID, s.Name, s.RetiredOn })

// retiring is the command that takes something of one of the lists out of use. find finds it, or asks which; about is
// its number, its name and since when it is retired.
func retiring[T any](name, summary string, what Option, example string,
	find func(*Call) (T, error),
	retire func(*knowledge.Group, context.Context, int64, bool, knowledge.Member, string) (T, error),
	about func(T) (id int64, called, retiredOn string)) *Command {
	return &Command{
		Name:    name,
		Summary: summary,
		Help:    "Questions about it are answered as before. back:yes brings it back into use.",
		Options: []Option{what, {Name: backOption, Help: "yes brings it back into use", Kind: YesNo},
			{Name: reasonOption, Help: "why; kept with it", Kept: true}},
		Who:      knowledge.TrainerRole,
		Admits:   true,
		Examples: []string{"/" + name + " " + example},
		Plain:    wordsAre(what.Name),
		Run: func(ctx context.Context, env *Env, call *Call) (Card, error) {
			t, err := find(call)
			if err != nil {
				return Card{}, err
			}
			id, _, _ := about(t)
			t, err = retire(env.Group, ctx, id, call.yes(backOption), call.by, call.value(reasonOption))
			if err != nil {
				return Card{}, err
			}
			_, called, retiredOn := about(t)
			c := Card{Title: called, Verdict: "In use."}
			if retiredOn != "" {
				c.Verdict = "Retired: no longer suggested or put up for testing. Its tests stay."
			}
			return offerUndo(ctx, env, call, c), nil
		},
	}
}

// theGel is the option for a gel of the list, and so on for the other lists.
func theGel() Option {
	return Option{Name: productOption, Help: "the gel", Suggest: suggestProducts, Required: true}
}

func theNeedle() Option {
	return Option{Name: instrumentOption, Help: "the needle or cannula", Suggest: suggestInstruments, Required: true}
}

func theSyringe() Option {
	return Option{Name: syringeOption, Help: "the syringe", Suggest: suggestSyringes, Required: true}
}
