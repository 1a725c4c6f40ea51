package commands

import (
	"context"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// The options that say what a gel is that is new to the group.
const (
	classOption = "class"
	sameOption  = "same"
)

// mostSimilar is how many gels of the list are offered in place of a new name.
const mostSimilar = 4

// classWords says in plain words what a gel class is: how it comes out of the
// syringe is all that counts here.
func classWords(c calc.GelClass) string {
	switch c {
	case calc.UncrosslinkedHA:
		return "runs like thick syrup, for skin quality"
	case calc.FineHA:
		return "thin and smooth, for fine lines"
	case calc.SoftHA:
		return "soft, for lips and shallow folds"
	case calc.MediumHA:
		return "in between, for folds"
	case calc.FirmHA:
		return "stiff, holds its shape, for deep support"
	case calc.CaHAPaste:
		return "white paste, as it comes"
	case calc.DilutedCaHA:
		return "white paste, mixed with liquid before use"
	}
	return "if you are not sure; the group's tests will tell"
}

// newNames are the gels that are not on the group's list, in the order said.
func newNames(items []stockItem) []string {
	var names []string
	for _, item := range items {
		name := item.combination.Product.Name
		if item.combination.Product.ID == 0 &&
			!slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) }) {
			names = append(names, name)
		}
	}
	return names
}

// withoutGel is the request without what was said of a gel that is settled.
func withoutGel(call *Call) Request {
	return Request{Command: call.Command, Asker: call.Asker}
}

// settleGel does what the options say of a new name, the first of a message:
// another name of a gel, or a gel of a class. Where they say nothing the product
// has the number 0.
func settleGel(ctx context.Context, env *Env, call *Call, name string) (p trade.Product,
	words string, err error) {
	if err := noDoubtOf("The gel's name", name); err != nil {
		return p, "", err
	}
	if same := call.value(sameOption); same != "" {
		p, listed := call.lists.Product(same)
		if !listed {
			return p, "", refuse("/"+productsName+" lists them.", "The group has no product called %s.", echo(same))
		}
		p, err := env.Group.AddAlias(ctx, p.ID, name, call.by)
		return p, echo(name) + " is another name for " + p.Name + " from now on.", err
	}
	if class := call.value(classOption); class != "" {
		p, err = env.Group.AddProductBy(ctx, trade.Product{Name: name, Class: calc.GelClass(class)}, call.by)
		return p, p.Name + " is on the group's list now, as " + string(p.Class) + ". Nobody has tested it yet.",
			told(err, knowledge.ErrDuplicate, "Please say it again.", "Somebody has just put a gel of that name on the list.")
	}
	return p, "", nil
}

// newGelCard asks what a new name is: first whether it is a gel of the list by
// another name, then of which class it is.
func newGelCard(ctx context.Context, env *Env, req Request, name string, items []stockItem) (Card, error) {
	similar, err := env.Group.SimilarProducts(ctx, name)
	if err != nil {
		return Card{}, err
	}
	_, index, err := env.reader(ctx)
	if err != nil {
		return Card{}, err
	}
	likely := index.ReadProduct(name).Options
	var said []saidItem
	for _, item := range items {
		said = append(said, item.said)
	}
	c := Card{Title: echo(name) + " is not on the group's list. What is it?"}
	meant := func(other string) {
		renamed := slices.Clone(said)
		for i := range renamed {
			if strings.EqualFold(renamed[i].gel, name) {
				renamed[i].gel = other
			}
		}
		c.Choices = append(c.Choices, Choice{Label: "I meant " + other, Request: req.saying(renamed, -1, saidItem{})})
	}
	for _, p := range similar[:min(len(similar), mostSimilar)] {
		again := req.saying(said, -1, saidItem{}).with(sameOption, p.Name)
		c.Choices = append(c.Choices, Choice{Label: "another name for " + p.Name + ", to be kept", Request: again})
		meant(p.Name)
	}
	for _, other := range likely[:min(len(likely), mostSimilar)] {
		if !slices.ContainsFunc(similar, func(p trade.Product) bool { return p.Name == other.Name }) {
			meant(other.Name)
		}
	}
	for _, class := range calc.GelClasses() {
		again := req.saying(said, -1, saidItem{}).with(classOption, string(class))
		c.Choices = append(c.Choices, Choice{Label: "a new gel, class " + string(class) + ": " + classWords(class),
			Request: again})
	}
	if len(newNames(items)) > 1 {
		c.line("Nothing of it is stored until you pick one; then the next is asked about.")
	} else {
		c.line("Nothing of it is stored until you pick one.")
	}
	return c, nil
}
