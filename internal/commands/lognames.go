package commands

import (
	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// productAsked is the product that a request names, by its whole name or an alias.
//
// Errors: *questionBack for a name that is only near one on the list, because a test in the wrong box is worse than one
// more tap; *UserError for a name near none.
func productAsked(call *Call) (trade.Product, error) {
	name := call.value(productOption)
	read := call.index.ReadProduct(name)
	if read.Known {
		return read.Product, nil
	}
	if len(read.Options) == 0 {
		return read.Product, refuse("/"+productsName+" lists them.", "The group has no product called %s.",
			echo(name))
	}
	back := &questionBack{Card{Title: "The group has no product called " + echo(name) + ". Which of these did you mean?"}}
	if len(read.Options) == 1 {
		back.Title = "The group has no product called " + echo(name) + ". Did you mean this one?"
	}
	for _, likely := range read.Options {
		back.Choices = append(back.Choices, Choice{Label: likely.Name, Request: call.with(productOption, likely.Name)})
	}
	return read.Product, back
}

// namedInstrument is the needle or cannula of that name, written in full or as people type it.
//
// Errors: *questionBack where it could be more than one; *trade.FieldError where it is none.
func namedInstrument(call *Call) (trade.Instrument, error) {
	typed := call.value(instrumentOption)
	instrument, err := trade.ReadInstrument(typed)
	if err == nil {
		return instrument, nil
	}
	read := call.index.ReadSetup(typed)
	if read.Instrument.Gauge != 0 {
		return read.Instrument, nil
	}
	if len(read.Instruments) == 0 {
		return instrument, err
	}
	back := &questionBack{Card{Title: echo(typed) + " could be more than one needle or cannula. Which?"}}
	for _, in := range read.Instruments[:min(len(read.Instruments), question.MaxChoices)] {
		back.Choices = append(back.Choices, Choice{Label: in.Name(), Request: call.with(instrumentOption, in.Name())})
	}
	return instrument, back
}
