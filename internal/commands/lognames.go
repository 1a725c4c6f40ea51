package commands

import (
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// productAsked is the product that a request names, by its whole name or an alias. For a name that is on no
// list the card asks which gel was meant: a test in the wrong box is worse than one
// more tap.
func productAsked(call *Call) (trade.Product, *Card, error) {
	name := call.value(productOption)
	read := call.index.ReadProduct(name)
	if read.Known {
		return read.Product, nil, nil
	}
	if len(read.Options) == 0 {
		return read.Product, nil, refuse("/"+productsName+" lists them.", "The group has no product called %s.",
			echo(name))
	}
	c := Card{Title: "The group has no product called " + echo(name) + ". Which of these did you mean?"}
	if len(read.Options) == 1 {
		c.Title = "The group has no product called " + echo(name) + ". Did you mean this one?"
	}
	for _, likely := range read.Options {
		c.Choices = append(c.Choices, Choice{Label: likely.Name, Request: call.with(productOption, likely.Name)})
	}
	return read.Product, &c, nil
}

// namedInstrument is the needle or cannula of that name, written in full or as people
// type it. Where it could be more than one the card asks which.
func namedInstrument(call *Call) (trade.Instrument, *Card, error) {
	typed := call.value(instrumentOption)
	instrument, err := trade.ReadInstrument(typed)
	if err == nil {
		return instrument, nil, nil
	}
	read := call.index.ReadSetup(typed)
	if read.Instrument.Gauge != 0 {
		return read.Instrument, nil, nil
	}
	if len(read.Instruments) == 0 {
		return instrument, nil, err
	}
	back := Card{Title: echo(typed) + " could be more than one needle or cannula. Which?"}
	for _, in := range read.Instruments[:min(len(read.Instruments), question.MaxChoices)] {
		back.Choices = append(back.Choices, Choice{Label: in.Name(), Request: call.with(instrumentOption, in.Name())})
	}
	return instrument, &back, nil
}
