package commands

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

const (
	compareName  = "group compare"
	mostCompared = 12 // rows a phone shows without losing the top
)

var compareCommand = &Command{
	Name:    compareName,
	Summary: "One gel on all its needles and cannulas, or one needle with all its gels",
	Help: "What is tested or in stock, tested ones first and by their hold. Name a gel to see it on each needle " +
		"and cannula, or a needle or cannula to see it with each gel.",
	Free:     true,
	FreeHelp: "a gel, or a needle or cannula, as in: orrick mid",
	Options: []Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts},
		{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle", Suggest: suggestInstruments},
	},
	Who:      anyMember,
	Slow:     true,
	Bearing:  Bearing{Bedside: true},
	Shared:   true,
	Examples: []string{"/group compare orrick mid", "/group compare 30G 13 mm needle"},
	Plain:    compareInWords,
	Run:      runCompare,
}

func runCompare(ctx context.Context, env *Env, call *Call) (Card, error) {
	switch {
	case call.value(productOption) != "":
		product, back, err := productAsked(ctx, env, call)
		if err != nil || back != nil {
			return cardOr(back), err
		}
		return compareCard(ctx, env, product.Name, withoutProduct,
			func(c trade.Combination) bool { return c.Product.ID == product.ID })
	case call.value(instrumentOption) != "":
		instrument, err := env.Group.Instrument(ctx, call.value(instrumentOption))
		if isNotFound(err) {
			return Card{}, refuse("/"+instrumentsName+" lists them.", "The group has no %s.",
				echo(call.value(instrumentOption)))
		}
		if err != nil {
			return Card{}, err
		}
		return compareCard(ctx, env, instrument.Name(), withoutInstrument,
			func(c trade.Combination) bool { return c.Instrument.ID == instrument.ID })
	}
	return Card{}, refuse("Write for example "+call.example()+".", "Compare what? Name a gel, or a needle or cannula.")
}

// compareInWords puts free text, or what a button is about, into the option that
// it names: a needle or cannula from its gauge on, whatever gels stand before it,
// for all of them are in the list; anything else is a gel.
func compareInWords(ctx context.Context, env *Env, call *Call) (*Card, error) {
	text := strings.TrimSpace(call.text)
	call.text = ""
	if call.About != "" {
		c, err := pinned(ctx, env, call.About)
		call.take(productOption, c.Product.Name)
		return nil, err
	}
	if call.Values[productOption] != "" || call.Values[instrumentOption] != "" {
		return nil, nil
	}
	at := gaugeWord.FindStringIndex(text)
	if at == nil {
		call.take(productOption, text)
		return nil, nil
	}
	_, index, err := env.reader(ctx)
	if err != nil {
		return nil, err
	}
	text = text[at[0]:]
	if read := index.ReadSetup(text); read.Known && len(read.Rest) == 0 {
		text = index.InstrumentName(read.Instrument)
	}
	call.take(instrumentOption, text)
	return nil, nil
}

func withoutProduct(c trade.Combination) string {
	return c.Instrument.Name() + syringeRemark(c.Syringe)
}

func withoutInstrument(c trade.Combination) string { return c.Product.Name + syringeRemark(c.Syringe) }

// syringeRemark names a syringe unless it is the one a gel comes in.
func syringeRemark(s trade.Syringe) string {
	if s.Name == "" || s.Name == trade.Supplied {
		return ""
	}
	return ", " + s.Name + " syringe"
}

// compareCard lists what is tested or in stock of the combinations that pass:
// the tested first, by hold; the untested after them, told apart in words.
func compareCard(ctx context.Context, env *Env, title string, name func(trade.Combination) string,
	passes func(trade.Combination) bool) (Card, error) {
	all, err := knownCombinations(ctx, env, passes)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: title + ", compared"}
	if len(all) == 0 {
		c.line("Nothing of it is tested or in stock.")
		return c, nil
	}
	rows := make([]*knowledge.Evidence, 0, len(all))
	for _, combination := range all {
		e, err := env.Group.Evidence(ctx, combination, calc.DefaultPull)
		if err != nil {
			return Card{}, err
		}
		rows = append(rows, e)
	}
	slices.SortStableFunc(rows, byHold)
	for _, e := range rows[:min(len(rows), mostCompared)] {
		c.fact(name(e.Combination), "%s", comparedWords(e))
		c.sayBehind(e)
	}
	if more := len(rows) - mostCompared; more > 0 {
		c.line("and %d more", more)
	}
	return c, nil
}

// knownCombinations are the tested and the stocked ones that pass, each once.
func knownCombinations(ctx context.Context, env *Env, passes func(trade.Combination) bool) ([]trade.Combination,
	error) {
	tested, err := env.Group.Tested(ctx)
	if err != nil {
		return nil, err
	}
	stocked, err := env.Group.Stocked(ctx)
	if err != nil {
		return nil, err
	}
	var all []trade.Combination
	seen := map[string]bool{}
	add := func(c trade.Combination) {
		if passes(c) && !seen[pin(c)] {
			seen[pin(c)] = true
			all = append(all, c)
		}
	}
	for _, t := range tested {
		add(t.Combination)
	}
	for _, s := range stocked {
		add(s.Combination)
	}
	return all, nil
}

// byHold orders tested before untested, a hold before none, and then by what
// shows by the ceiling, most first.
func byHold(a, b *knowledge.Evidence) int {
	rank := func(e *knowledge.Evidence) int {
		hold := holdSeconds(e)
		switch {
		case !e.Tested:
			return 2000
		case hold == nil:
			return 1000
		}
		return *hold
	}
	return cmp.Or(rank(a)-rank(b),
		cmp.Compare(b.Forecast.Share(b.Ceiling).Mean, a.Forecast.Share(a.Ceiling).Mean))
}

// comparedWords is one combination in a line. An untested one never says a
// verdict or a hold.
func comparedWords(e *knowledge.Evidence) string {
	ceiling := exactSeconds(float64(e.Ceiling))
	share := shareWords(e.Forecast.Share(e.Ceiling).Mean)
	if !e.Tested {
		return "untested; calculated, not tested: by " + ceiling + " " + share + " would show"
	}
	words, verb := "no hold, "+say.State(e.State), "show"
	if hold := holdSeconds(e); hold != nil {
		words = "HOLD " + exactSeconds(float64(*hold))
	} else if missing := say.Missing(e.Advice); missing != "" {
		words += " (needs " + missing + ")"
	}
	if belowLeast(e) {
		verb = "would show"
	}
	return words + "; " + count(e.Counts.Run, "test") + "; by " + ceiling + " " + share + " " + verb
}
