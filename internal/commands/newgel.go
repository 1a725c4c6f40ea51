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

// mostSimilar is how many gels of the list are offered instead of a new name.
const mostSimilar = 4

// classWords describes a gel class in plain words. Only how it comes out of the syringe counts here.
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

// newNames are the gels that are not on the group's list, in the order typed, each once.
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

// settleGel stores what the options say a new name is: another name of a gel, or a new gel of a class. words says what
// was stored. Where the options say nothing the product's number is 0.
func settleGel(ctx context.Context, env *Env, call *Call, name string) (p trade.Product, words string, err error) {
	if err := noDoubtOf("The gel's name", name); err != nil {
		return p, "", err
	}
	if same := call.value(sameOption); same != "" {
		p, listed := call.lists.Product(same)
		if !listed {
			return p, "", noSuchGel(same)
		}
		p, err := env.Group.AddAlias(ctx, p.ID, name, call.by)
		return p, echo(name) + " is another name for " + p.Name + " from now on.", err
	}
	if class := call.value(classOption); class != "" {
		p, err = env.Group.AddProductBy(ctx, trade.Product{Name: name, Class: calc.GelClass(class)}, call.by)
		return p, p.Name + " is on the group's list now, as " + string(p.Class) + ". Nobody has tested it yet.",
			told(err, knowledge.ErrDuplicate, "Please say it again.", "A gel of that name has just been put on the list.")
	}
	return p, "", nil
}

// newGelCard asks what a new name is: first whether it is a gel of the list by another name, then which class it is.
func newGelCard(ctx context.Context, env *Env, req Request, name string, items []stockItem) (Card, error) {
	similar, err := env.Group.SimilarProducts(ctx, name)
	if err != nil {
		return Card{}, err
	}
	_, index, err := env.reader(ctx)
	if err != nil {
		return Card{}, err
	}
	var said []saidItem
	for _, item := range items {
		said = append(said, item.said)
	}
	c := Card{Title: echo(name) + " is not on the group's list. What is it?"}
	offer := func(label string, again Request) { c.Choices = append(c.Choices, Choice{label, again}) }
	meant := func(other string) { offer("I meant "+other, req.saying(renamed(said, name, other))) }
	for _, p := range similar[:min(len(similar), mostSimilar)] {
		offer("keep it as another name for "+p.Name, req.saying(said).with(sameOption, p.Name))
		meant(p.Name)
	}
	likely := index.ReadProduct(name).Options
	for _, other := range likely[:min(len(likely), mostSimilar)] {
		if !slices.ContainsFunc(similar, func(p trade.Product) bool { return p.Name == other.Name }) {
			meant(other.Name)
		}
	}
	for _, class := range calc.GelClasses() {
		offer("a new gel, "+string(class)+": "+classWords(class), req.saying(said).with(classOption, string(class)))
	}
	next := ""
	if len(newNames(items)) > 1 {
		next = " Then the next gel is asked about."
	}
	c.line("It is not stored until you pick one.%s", next)
	return c, nil
}

// renamed is what was typed, with another name in place of one gel's.
func renamed(said []saidItem, name, other string) []saidItem {
	said = slices.Clone(said)
	for i := range said {
		if strings.EqualFold(said[i].gel, name) {
			said[i].gel = other
		}
	}
	return said
}
