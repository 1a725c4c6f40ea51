package commands

import (
	"context"
	"errors"
	"slices"

	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// namedProduct is the product of that name or alias. For a name that is not
// quite one the card asks whether that product was meant: a test in the wrong
// box is worse than one more tap.
func namedProduct(ctx context.Context, env *Env, req Request) (trade.Product, *Card, error) {
	name := req.value(productOption)
	product, err := env.Group.Product(ctx, name)
	if !errors.Is(err, knowledge.ErrNotFound) {
		return product, nil, err
	}
	names, err := likelyProducts(ctx, env, name)
	if err != nil {
		return product, nil, err
	}
	if len(names) == 0 {
		return product, nil, refuse("/"+productsName+" lists them.", "The group has no product called %s.", echo(name))
	}
	c := Card{Title: "The group has no product called " + echo(name) + ". Which of these did you mean?"}
	if len(names) == 1 {
		c.Title = "The group has no product called " + echo(name) + ". Did you mean this one?"
	}
	for _, likely := range names {
		c.Choices = append(c.Choices, Choice{Label: likely, Request: req.with(productOption, likely)})
	}
	return product, &c, nil
}

// namedInstrument is the needle or cannula of that name, written in full or as
// people type it. Where it could be more than one the card asks which.
func namedInstrument(ctx context.Context, env *Env, req Request, product trade.Product) (trade.Instrument, *Card, error) {
	typed := req.value(instrumentOption)
	instrument, err := trade.ReadInstrument(typed)
	if err == nil {
		return instrument, nil, nil
	}
	_, index, readErr := env.reader(ctx)
	if readErr != nil {
		return instrument, nil, readErr
	}
	reading := index.Read(product.Name + ", " + typed)
	if reading.Outcome == question.One && reading.Product.ID == product.ID {
		return reading.Instrument, nil, nil
	}
	var names []string
	for _, choice := range reading.Choices {
		again := index.Read(choice.Text)
		if again.Outcome != question.One || again.Product.ID != product.ID {
			continue
		}
		if name := again.Instrument.Name(); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return instrument, nil, err
	}
	back := Card{Title: echo(typed) + " could be more than one needle or cannula. Which?"}
	for _, name := range names {
		back.Choices = append(back.Choices, Choice{Label: name, Request: req.with(instrumentOption, name)})
	}
	return instrument, &back, nil
}
