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
	Help: "A gel can be asked about and tested once it is on the list. Its class is where the calculation starts; " +
		"the group's own tests move it. Where you are not sure, unknown is a good answer.",
	Options: []Option{
		{Name: "name", Help: "as it is called on the box", Required: true, Kept: true},
		{Name: "class", Help: "what kind of gel it is", Choices: gelClassNames(), Reads: readClass, Required: true},
		{Name: "aliases", Help: "other names it goes by, with ; between", Kept: true},
		sure(),
	},
	Who:      knowledge.TrainerRole,
	Admits:   true,
	Examples: []string{`/trainer gels add name:"Brackley Sheer" class:"fine HA" aliases:"sheer; b sheer"`},
	Plain:    wordsAre(nameOption),
	Run:      runAddProduct,
}

// readClass reads a class of gel as people write it.
func readClass(text string) string {
	class, _ := question.ReadClass(text)
	return string(class)
}

func gelClassNames() []string { return namesOf(calc.GelClasses()) }

// namesOf are kinds as an option names them.
func namesOf[T ~string](kinds []T) (names []string) {
	for _, k := range kinds {
		names = append(names, string(k))
	}
	return names
}

func runAddProduct(ctx context.Context, env *Env, call *Call) (Card, error) {
	p := trade.Product{Name: call.value("name"), Class: calc.GelClass(call.value("class"))}
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
			"One of these names is on the list already: capitals and spaces make no other name.")
	}
	c := Card{Title: added.Name, Verdict: "Now on the group's list."}
	c.fact("Class", "%s", added.Class)
	if len(added.Aliases) > 0 {
		c.fact("Also called", "%s", strings.Join(added.Aliases, ", "))
	}
	c.line("Nobody has tested it yet: until then every answer about it is a calculation.")
	return offerUndo(ctx, env, call, c), nil
}
