package commands

import (
	"slices"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// stated are the options of a request that name a combination, each read as a whole value: a name or an alias. A listed
// name inside a longer one does not count.
//
// Errors: *questionBack.
func (call *Call) stated() (s question.Stated, err error) {
	if name := call.value(productOption); name != "" {
		read := call.index.ReadProduct(name)
		if !read.Known {
			var names []string
			for _, p := range read.Options {
				names = append(names, p.Name)
			}
			return s, call.askValue(productOption, "The group has no gel called "+echo(name)+".", names)
		}
		s.Product = &read.Product
	}
	if name := call.value(instrumentOption); name != "" {
		read := call.index.ReadSetup(name)
		if !read.Known || len(read.Rest) > 0 {
			return s, call.askInstrument(name, read)
		}
		s.Instrument = &read.Instrument
		if !strings.EqualFold(read.Syringe.Name, trade.Supplied) {
			s.Syringe = &read.Syringe
		}
	}
	if name := call.value(syringeOption); name != "" {
		options := call.index.ReadSyringe(name)
		if len(options) != 1 {
			var names []string
			for _, sy := range options {
				names = append(names, sy.Name)
			}
			return s, call.askValue(syringeOption, "Which syringe is "+echo(name)+"?", names)
		}
		s.Syringe = &options[0]
	}
	return s, nil
}

// askInstrument asks about a needle or cannula that its option does not name whole.
func (call *Call) askInstrument(name string, read question.SetupRead) error {
	problem := read.Problem
	options := read.Instruments
	if read.Known {
		options = []trade.Instrument{read.Instrument}
		problem = "I read " + call.index.InstrumentName(read.Instrument) + "; what is " +
			echo(strings.Join(read.Rest, " ")) + "?"
	}
	if problem == "" {
		problem = echo(name) + " is no needle or cannula."
	}
	var names []string
	for _, in := range options {
		names = append(names, call.index.InstrumentName(in))
	}
	return call.askValue(instrumentOption, problem, names)
}

// askValue asks which of the values an option has.
func (call *Call) askValue(option, problem string, values []string) error {
	values = slices.Compact(values)
	c := Card{Title: problem, Refused: len(values) == 0}
	if len(values) > 0 {
		c.line("Pick one, or write it out.")
	} else {
		c.line("/%s and /%s list what there is.", productsName, instrumentsName)
	}
	for _, value := range values[:min(len(values), question.MaxChoices)] {
		again := call.with(option, value)
		again.Key = ""
		c.Choices = append(c.Choices, Choice{Label: value, Request: again})
	}
	return &questionBack{c}
}

// smallestAmount is the volume, mL, from which one that is said beside a gel is taken
// for what its syringe holds, and not for a pull (common practice, no source).
const smallestAmount = 0.5

// askUnread asks about what a question has and nothing was made of, where that could
// change the answer: a small volume may be the pull.
func (call *Call) askUnread(reading question.Reading, a subject) *questionBack {
	if call.cmd == nil || call.cmd.option("pull") == nil {
		return nil
	}
	whole := call.onto(a.combination, a.pullML, a.by)
	for _, typed := range reading.Rest {
		v, err := quantity.Number(typed)
		ml, noVolume := quantity.Volume(typed)
		switch {
		case noVolume == nil && ml >= trade.SmallestPullML && ml < smallestAmount && a.pullML == 0:
			return askWhat(typed, a, Choice{"the pull", whole.with("pull", trimNumber(ml))},
				Choice{"an amount of gel", whole})
		case err == nil && v > 0 && v <= trade.LongestWatchS && a.by == 0 && couldBeSeconds(call.text, typed):
			log := Request{Command: logName, Asker: call.Asker, Values: combinationValues(a.combination)}
			return askWhat(typed, a,
				Choice{typed + " s, a hold I have in mind", whole.with("seconds", trimNumber(v))},
				Choice{typed + " s, a test to log", log.with("seconds", typed)}, Choice{"none of that", whole})
		}
	}
	return nil
}

// couldBeSeconds reports whether a number that nothing was made of may be seconds: it has decimals, or ends the text.
func couldBeSeconds(text, typed string) bool {
	return strings.ContainsAny(typed, ".,") || strings.HasSuffix(strings.TrimRight(text, " .!?"), " "+typed)
}

// askWhat asks what a part of a question is that nothing was made of.
func askWhat(typed string, a subject, choices ...Choice) *questionBack {
	return &questionBack{Card{Title: "I read " + a.combination.String() + "; what is " + echo(typed) + "?",
		Choices: choices}}
}
