package commands

import (
	"context"
	"errors"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// The options that say what a gel is that is new to the group.
const (
	classOption = "class"
	sameOption  = "same"
)

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
	return "not sure: the group's tests will tell"
}

// newGel sees to a gel that is not on the list yet: it is asked what it is, and
// counts only once that is said. It puts the gel, or the one it turned out to
// be, into the items, and says what it did.
func newGel(ctx context.Context, env *Env, m knowledge.Member, req Request, items []stockItem) ([]Fact, *Card, error) {
	var names []string
	for _, item := range items {
		name := item.combination.Product.Name
		if item.combination.Product.ID == 0 && !slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) }) {
			names = append(names, name)
		}
	}
	switch {
	case len(names) == 0:
		return nil, nil, nil
	case len(names) > 1:
		return nil, nil, refuse("Say them one message at a time: each is asked about first. Nothing was stored.",
			"%s and %s are both new to the group.", echo(names[0]), echo(names[1]))
	}
	product, words, err := settleGel(ctx, env, m, req, names[0])
	if err != nil {
		return nil, nil, err
	}
	if product.ID == 0 {
		card, err := newGelCard(ctx, env, req, names[0], items)
		return nil, &card, err
	}
	for i := range items {
		if items[i].combination.Product.ID == 0 {
			items[i].combination.Product = product
		}
	}
	return []Fact{{"", words}}, nil, nil
}

// settleGel does what the options say of a new name: another name of a gel, or
// a gel of a class. Where they say nothing the product has the number 0.
func settleGel(ctx context.Context, env *Env, m knowledge.Member, req Request, name string) (p knowledge.Product, words string, err error) {
	if what := knowledge.PatientData(name); what != "" {
		return p, "", refuse("Nothing was stored.", "That looks like %s: no patient data belongs here.", what)
	}
	if same := req.value(sameOption); same != "" {
		p, err = env.Group.Product(ctx, same)
		if isNotFound(err) {
			return p, "", refuse("/"+productsName+" lists them.", "The group has no product called %s.", echo(same))
		}
		if err == nil {
			p, err = env.Group.AddAlias(ctx, p.ID, name, m)
		}
		return p, echo(name) + " is another name for " + p.Name + " from now on.", err
	}
	if class := req.value(classOption); class != "" {
		p, err = env.Group.AddProduct(ctx, knowledge.Product{Name: name, Class: calc.GelClass(class)})
		if errors.Is(err, knowledge.ErrDuplicate) {
			return p, "", refuse("Please say it again.", "Somebody has just put a gel of that name on the list.")
		}
		return p, p.Name + " is on the group's list now, as " + string(p.Class) + ". Nobody has tested it yet.", err
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
	likely, err := likelyProducts(ctx, env, name)
	if err != nil {
		return Card{}, err
	}
	var said []saidItem
	for _, item := range items {
		said = append(said, item.said)
	}
	c := Card{Title: echo(name) + " is not on the group's list. What is it?"}
	if req.value(doOption) == doRemove {
		return Card{}, refuse("/"+stockName+" lists what you hold.", "You do not hold %s.", echo(name))
	}
	for _, p := range similar[:min(len(similar), 5)] {
		again := req.saying(said, -1, saidItem{}).with(sameOption, p.Name)
		c.Choices = append(c.Choices, Choice{Label: p.Name + ", by another name: keep both", Request: again})
	}
	for _, other := range likely[:min(len(likely), 5)] {
		if slices.ContainsFunc(similar, func(p knowledge.Product) bool { return p.Name == other }) {
			continue
		}
		renamed := slices.Clone(said)
		for i := range renamed {
			if strings.EqualFold(renamed[i].gel, name) {
				renamed[i].gel = other
			}
		}
		c.Choices = append(c.Choices, Choice{Label: "I meant " + other, Request: req.saying(renamed, -1, saidItem{})})
	}
	for _, class := range calc.GelClasses() {
		again := req.saying(said, -1, saidItem{}).with(classOption, string(class))
		c.Choices = append(c.Choices, Choice{Label: "a new gel, class " + string(class) + ": " + classWords(class), Request: again})
	}
	c.line("Nothing is stored until you pick one.")
	return c, nil
}
