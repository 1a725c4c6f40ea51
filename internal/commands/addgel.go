package commands

import (
	"context"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const addProductName = "trainer gels add"

var addProductCommand = &Command{
	Name:    addProductName,
	Summary: "Put a gel on the group's list (trainer)",
	Help: "A gel can be asked about and tested once it is on the list. The calculation starts from its class; " +
		"the group's own tests move it. If you are not sure, choose unknown.",
	Options: []Option{
		{Name: nameOption, Help: "as it is called on the box", Required: true, Kept: true},
		gelClassOption("what kind of gel it is", true),
		{Name: "aliases", Help: "other names it goes by, with ; between", Kept: true},
		sure(),
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels add name:"Brackley Sheer" class:"fine HA" aliases:"sheer; b sheer"`},
	Plain:    wordsAre(nameOption),
	Run:      runAddProduct,
}

// gelClassOption takes a class of gel, in people's own words too.
func gelClassOption(help string, required bool) Option {
	return Option{Name: classOption, Help: help, Choices: namesOf(calc.GelClasses()), Required: required,
		Reads: func(text string) string {
			class, _ := question.ReadClass(text)
			return string(class)
		}}
}

// namesOf lists kinds by the names that an option takes.
func namesOf[T ~string](kinds []T) (names []string) {
	for _, k := range kinds {
		names = append(names, string(k))
	}
	return names
}

func runAddProduct(ctx context.Context, env *Env, call *Call) (Card, error) {
	p := trade.Product{Name: call.value(nameOption), Class: calc.GelClass(call.value(classOption))}
	for _, alias := range strings.Split(call.value("aliases"), ";") {
		if alias = strings.TrimSpace(alias); alias != "" {
			p.Aliases = append(p.Aliases, alias)
		}
	}
	apart, err := nearAnother(ctx, env, call, 0, append([]string{p.Name}, p.Aliases...)...)
	if err != nil {
		return Card{}, err
	}
	added, err := env.Group.AddProductBy(ctx, p, call.by, apart...)
	if err != nil {
		return Card{}, told(err, knowledge.ErrDuplicate,
			"If it is another gel, give it a word more. /"+productsName+" lists them.",
			"One of these names is on the list already: capitals and spaces do not tell names apart.")
	}
	c := Card{Title: added.Name, Verdict: "Now on the group's list."}
	c.fact("Class", "%s", added.Class)
	c.fact("Also called", "%s", strings.Join(added.Aliases, ", "))
	c.line("Nobody has tested it yet: every answer about it is a calculation.")
	return offerUndo(ctx, env, call, c), nil
}
