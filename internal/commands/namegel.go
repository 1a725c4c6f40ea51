package commands

import (
	"context"
	"errors"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	nameGelName = "trainer gels name"
	nameOption  = "name"
	dropOption  = "drop"
)

var nameGelCommand = &Command{
	Name:    nameGelName,
	Summary: "Give a gel another name beside its own, or drop one (trainer)",
	Help: "Questions understand every name a gel goes by. drop:yes takes the name away again; what it is called " +
		"on the box stays.",
	Options: []Option{
		theGel(),
		{Name: nameOption, Help: "the other name", Required: true, Kept: true},
		{Name: dropOption, Help: "yes takes the name away", Kind: YesNo},
		sure(),
	},
	Who:      knowledge.TrainerRole,
	Slow:     true,
	Examples: []string{`/trainer gels name product:"Orrick Mid" name:"the mid one"`},
	Run:      runNameGel,
}

// sure is the option that a card's yes sets.
func sure() Option { return Option{Name: sureOption, Help: "yes: do not ask again", Kind: YesNo} }

func runNameGel(ctx context.Context, env *Env, call *Call) (Card, error) {
	product, by, back, err := changedBy(ctx, env, call, productAsked)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	name := call.value(nameOption)
	var p trade.Product
	if call.yes(dropOption) {
		p, err = env.Group.DropAlias(ctx, product.ID, name, by)
	} else {
		if back, err := nearAnother(ctx, env, call, product.ID, name); err != nil || back != nil {
			return cardOr(back), err
		}
		p, err = env.Group.AddAlias(ctx, product.ID, name, by)
	}
	if errors.Is(err, knowledge.ErrDuplicate) {
		return Card{}, nameTaken(name)
	}
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: p.Name, Verdict: "It goes by no other name."}
	if len(p.Aliases) > 0 {
		c.Verdict = "Also called " + strings.Join(p.Aliases, ", ") + "."
	}
	return offerUndo(ctx, env, c, by), nil
}

// nameTaken refuses a name that another gel goes by: a question that is typed could be
// about either.
func nameTaken(name string) error {
	return refuse("Where both are one gel, /"+mergeName+" puts them together; where they are two, give one a word "+
		"more.", "Another gel goes by %s: capitals and spaces make no other name.", echo(name))
}

// nearAnother asks whether a name that is nearly that of another gel on the list is
// meant: a letter too many makes two gels of one, and their tests are torn apart. nil
// where none is near, or the trainer is sure. One that the eye cannot tell from another's is
// refused.
func nearAnother(ctx context.Context, env *Env, call *Call, own int64, names ...string) (*Card, error) {
	if call.yes(sureOption) {
		return nil, nil
	}
	for _, name := range names {
		if err := env.Group.CheckProductName(ctx, own, name); err != nil {
			return nil, err
		}
		similar, err := env.Group.SimilarProducts(ctx, name)
		if err != nil {
			return nil, err
		}
		for _, p := range similar {
			if p.ID == own || p.GoesBy(name) {
				continue // its own, or refused for what it is
			}
			c := Card{Title: echo(name) + " is nearly " + p.Name + ", which is on the list. Is it another gel?"}
			c.line("Nothing is stored until you pick one.")
			c.Choices = []Choice{
				{Label: "yes, another gel", Request: call.with(sureOption, "yes")},
				{Label: "no, another name for " + p.Name, Request: Request{Command: nameGelName, Asker: call.Asker,
					Values: map[string]string{productOption: p.Name, nameOption: name, sureOption: "yes"}}},
			}
			c.Figures = askedBack{State: stateChoose, Choices: []string{c.Choices[0].Label, c.Choices[1].Label}}
			return &c, nil
		}
	}
	return nil, nil
}
