package commands

import (
	"cmp"
	"slices"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// stated are the options of a question that name a combination, each read as a whole value: a name or an alias. A
// listed name inside a longer one does not count.
//
// Errors: *questionBack, *UserError.
func (call *Call) stated() (s question.Stated, err error) {
	if call.value(productOption) != "" {
		p, err := productAsked(call)
		if err != nil {
			return s, err
		}
		s.Product = &p
	}
	if name := call.value(instrumentOption); name != "" {
		read := call.index.ReadSetup(name)
		if !read.Known || len(read.Rest) > 0 {
			return s, call.askInstrument(name, read)
		}
		s.Instrument = &read.Instrument
		if !read.Syringe.IsSupplied() {
			s.Syringe = &read.Syringe
		}
	}
	if name := call.value(syringeOption); name != "" {
		options := call.index.ReadSyringe(name)
		if len(options) != 1 {
			return s, call.askValue(syringeOption, "Which syringe is "+echo(name)+"?", labels(options, syringeName))
		}
		s.Syringe = &options[0]
	}
	return s, nil
}

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
	problem := "The group has no gel called " + echo(name) + "."
	switch len(read.Options) {
	case 0:
		return read.Product, noSuchGel(name)
	case 1:
		problem += " Did you mean this one?"
	default:
		problem += " Which of these did you mean?"
	}
	likely := labels(read.Options, func(p trade.Product) string { return p.Name })
	return read.Product, call.askValue(productOption, problem, likely)
}

// namedInstrument is the needle or cannula of that name, written in full or as people type it.
//
// Errors: *questionBack where it could be more than one, or where a part is not understood; *trade.FieldError where it
// is none.
func namedInstrument(call *Call) (trade.Instrument, error) {
	typed := call.value(instrumentOption)
	instrument, err := trade.ReadInstrument(typed)
	if err == nil {
		return instrument, nil
	}
	read := call.index.ReadSetup(typed)
	switch {
	case read.Instrument.Gauge != 0 && len(read.Rest) == 0:
		return read.Instrument, nil
	case read.Known:
		return instrument, call.askInstrument(typed, read)
	case len(read.Instruments) == 0:
		return instrument, err
	}
	return instrument, call.askValue(instrumentOption, echo(typed)+" could be more than one needle or cannula. Which?",
		labels(read.Instruments, trade.Instrument.Name))
}

// askInstrument asks about a needle or cannula that its option does not name whole.
func (call *Call) askInstrument(name string, read question.SetupRead) error {
	problem, options := cmp.Or(read.Problem, echo(name)+" is no needle or cannula."), read.Instruments
	if read.Known {
		options = []trade.Instrument{read.Instrument}
		problem = "I read " + call.index.InstrumentName(read.Instrument) + "; what is " +
			echo(strings.Join(read.Rest, " ")) + "?"
	}
	return call.askValue(instrumentOption, problem, labels(options, call.index.InstrumentName))
}

// askValue asks which of the values an option has.
func (call *Call) askValue(option, problem string, values []string) error {
	values = slices.Compact(values)
	back := &questionBack{Card{Title: problem, Refused: len(values) == 0}}
	switch {
	case len(values) == 0:
		back.line("/%s and /%s list what there is.", productsName, instrumentsName)
	case !strings.HasSuffix(problem, "?"):
		back.line("Pick one, or write it out.")
	}
	for _, value := range values[:min(len(values), question.MaxChoices)] {
		back.Choices = append(back.Choices, Choice{Label: value, Request: call.with(option, value)})
	}
	return back
}

// labels are what the things of a list are called.
func labels[T any](list []T, label func(T) string) (names []string) {
	for _, one := range list {
		names = append(names, label(one))
	}
	return names
}

func syringeName(s trade.Syringe) string { return s.Name }

// smallestAmount is the volume, mL, from which a volume named beside a gel is what its syringe holds and not a pull
// (common practice, no source).
const smallestAmount = 0.5

// askUnread asks about a part of a question that was not understood, where it could change the answer: a small volume
// may be the pull. nil for nothing to ask.
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

// couldBeSeconds reports whether a number that was not understood may be seconds: it has decimals, or ends the text.
func couldBeSeconds(text, typed string) bool {
	return strings.ContainsAny(typed, ".,") || strings.HasSuffix(strings.TrimRight(text, " .!?"), " "+typed)
}

// askWhat asks what a part of a question means.
func askWhat(typed string, a subject, choices ...Choice) *questionBack {
	return &questionBack{Card{Title: "I read " + a.combination.String() + "; what is " + echo(typed) + "?",
		Choices: choices}}
}
