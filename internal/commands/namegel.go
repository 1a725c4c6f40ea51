package commands

import (
	"context"
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
	Help:    "Questions understand every name of a gel. drop:yes takes the name away again; the name on the box stays.",
	Options: []Option{
		theGel(),
		{Name: nameOption, Help: "the other name", Required: true, Kept: true},
		{Name: dropOption, Help: "yes takes the name away", Kind: YesNo},
		sure(),
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels name product:"Orrick Mid" name:"the mid one"`},
	Run:      runNameGel,
}

// sure is the option that the yes on a card sets.
func sure() Option { return Option{Name: sureOption, Help: "yes: do not ask again", Kind: YesNo} }

func runNameGel(ctx context.Context, env *Env, call *Call) (Card, error) {
	product, err := productAsked(call)
	if err != nil {
		return Card{}, err
	}
	name := call.value(nameOption)
	var p trade.Product
	if call.yes(dropOption) {
		p, err = env.Group.DropAlias(ctx, product.ID, name, call.by)
	} else {
		if _, err := nearAnother(ctx, env, call, product.ID, name); err != nil {
			return Card{}, err
		}
		p, err = env.Group.AddAlias(ctx, product.ID, name, call.by)
	}
	if err != nil {
		return Card{}, nameTaken(err, name)
	}
	c := Card{Title: p.Name, Verdict: "It has no other name."}
	if len(p.Aliases) > 0 {
		c.Verdict = "Also called " + strings.Join(p.Aliases, ", ") + "."
	}
	return offerUndo(ctx, env, call, c), nil
}

// nameTaken is the error of storing a name. Where another gel has that name it says so: a typed question could be about
// either gel.
func nameTaken(err error, name string) error {
	return told(err, knowledge.ErrDuplicate,
		"If both are one gel, /"+mergeName+" merges them; if they are two, give one a word more.",
		"Another gel goes by %s: capitals and spaces do not tell names apart.", echo(name))
}

// nearAnother asks back where a name is nearly that of another gel on the list: one letter too many would make two gels
// of one and split their tests. Where the trainer is sure, apart has that gel's number.
func nearAnother(ctx context.Context, env *Env, call *Call, own int64, names ...string) (apart []int64, err error) {
	for _, name := range names {
		p, err := nearGel(ctx, env, own, name)
		switch {
		case err != nil:
			return nil, err
		case p.ID == 0:
		case call.yes(sureOption):
			return []int64{p.ID}, nil
		default:
			back := &questionBack{}
			same := Request{Command: nameGelName, Asker: call.Asker}.with(productOption, p.Name).with(nameOption, name)
			back.Title, back.Choices = askNear(name, p, call.with(sureOption, "yes"), same.with(sureOption, "yes"))
			back.line("Nothing is stored until you pick one.")
			return nil, back
		}
	}
	return nil, nil
}

// askNear asks whether a name is a new gel or another name of the one near it, with the request for each answer.
func askNear(name string, near trade.Product, another, same Request) (question string, choices []Choice) {
	return echo(name) + " is nearly " + near.Name + ", which is on the list. Is it another gel?",
		[]Choice{{"yes, another gel", another}, {"no, another name for " + near.Name, same}}
}

// nearGel finds a gel on the list, other than the one with the number own, whose name is nearly this one; its number is
// 0 where there is none. A name that looks just like another gel's is refused.
func nearGel(ctx context.Context, env *Env, own int64, name string) (near trade.Product, err error) {
	if err := env.Group.CheckProductName(ctx, own, name); err != nil {
		return near, err
	}
	similar, err := env.Group.SimilarProducts(ctx, name)
	for _, p := range similar {
		if p.ID != own && !p.GoesBy(name) { // a name that is taken is refused when it is stored
			return p, nil
		}
	}
	return near, err
}
