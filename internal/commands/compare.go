package commands

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/question"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

const (
	compareName  = "group compare"
	mostCompared = 12 // more rows would scroll the top off a phone's screen
)

var compareCommand = &Command{
	Name:    compareName,
	Summary: "One gel on all its needles and cannulas, or one needle with all its gels",
	Help: "Lists what is tested or in stock, the tested first, by their hold. Name a gel to see it on each needle " +
		"and cannula, a needle or cannula to see it with each gel, or several of both to see only those.",
	Free:     true,
	FreeHelp: "gels, needles or cannulas, as in: orrick mid",
	Options: []Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts},
		{Name: instrumentOption, Help: "gauge, length and kind, as in 30G 13 mm needle", Suggest: suggestInstruments},
	},
	Who:      anyMember,
	Bearing:  Bearing{Bedside: true},
	Shared:   true,
	Examples: []string{"/group compare orrick mid", "/group compare orrick mid, orrick firm on 27G 13 mm"},
	Plain:    compareInWords,
	Run:      runCompare,
}

func runCompare(ctx context.Context, env *Env, call *Call) (Card, error) {
	if call.value(productOption) != "" {
		product, err := productAsked(call)
		if err != nil {
			return Card{}, err
		}
		return compareCard(ctx, env, question.Sides{Products: []trade.Product{product}})
	}
	if typed := call.value(instrumentOption); typed != "" {
		instrument, err := trade.ReadInstrument(typed)
		if err != nil {
			return Card{}, err
		}
		instrument, listed := call.lists.Instrument(instrument)
		if !listed {
			return Card{}, refuse("/"+instrumentsName+" lists them.", "The group has no %s.", echo(typed))
		}
		return compareCard(ctx, env, question.Sides{Instruments: []trade.Instrument{instrument}})
	}
	sides := call.index.ReadSides(call.text)
	switch none := len(sides.Products)+len(sides.Instruments) == 0; {
	case sides.Problem != "":
		return Card{}, refuse("/"+productsName+" lists the gels, /"+instrumentsName+" needles and cannulas.", "%s",
			sides.Problem)
	case none && call.text != "":
		return Card{}, noSuchGel(call.text)
	case none:
		return Card{}, refuse("Write for example "+call.example()+".", "Compare what? Name a gel, needle or cannula.")
	}
	return compareCard(ctx, env, sides)
}

// againstEachOther are the sides of a question that sets gels against each other on one needle, or needles against
// each other for one gel, by the words for it: "orrick mid vs pellow lip on 30G 13 mm", "orrick mid, all needles".
func (call *Call) againstEachOther() (sides question.Sides, is bool) {
	if !question.SetsAgainst(call.text) {
		return sides, false
	}
	sides = call.index.ReadSides(call.text)
	gels, needles := len(sides.Products), len(sides.Instruments)
	return sides, sides.Problem == "" && (gels == 1 || needles == 1) && !(gels == 1 && needles == 1)
}

// compareInWords puts the gel that a button is about into its option. Free text is left alone: it may name several
// gels.
func compareInWords(_ context.Context, _ *Env, call *Call) error {
	if call.About == "" {
		return nil
	}
	c, err := pinned(call.lists, call.About)
	call.take(productOption, c.Product.Name)
	call.text = ""
	return err
}

// sidesTitle names what all rows share; rowName names a row by the rest.
func sidesTitle(sides question.Sides) (title string, rowName func(trade.Combination) string) {
	switch {
	case len(sides.Products) == 1:
		return sides.Products[0].Name + ", compared", withoutProduct
	case len(sides.Instruments) == 1:
		return sides.Instruments[0].Name() + ", compared", withoutInstrument
	}
	return "Side by side", stockWords
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

// compareCard lists the tested combinations by their hold and then the untested, which are marked as such in words.
func compareCard(ctx context.Context, env *Env, sides question.Sides) (Card, error) {
	all, err := comparedOf(ctx, env, sides)
	if err != nil {
		return Card{}, err
	}
	title, name := sidesTitle(sides)
	c := Card{Title: title}
	if len(sides.Rest) > 0 {
		c.warn("Not understood: %s.", echo(strings.Join(sides.Rest, " ")))
	}
	if len(all) == 0 {
		c.line("None of them is tested or in stock.")
		return c, nil
	}
	rows, err := env.evidenceOf(ctx, all)
	if err != nil {
		return Card{}, err
	}
	slices.SortStableFunc(rows, byHold)
	for _, e := range rows[:min(len(rows), mostCompared)] {
		c.fact(name(e.Combination), "%s", comparedWords(e))
		c.sayBehind(e)
	}
	c.andMore(len(rows)-mostCompared, "")
	return c, nil
}

// evidenceOf is what the group knows of each combination, at the usual pull.
func (env *Env) evidenceOf(ctx context.Context, all []trade.Combination) ([]*knowledge.Evidence, error) {
	known := make([]*knowledge.Evidence, 0, len(all))
	for _, c := range all {
		e, err := env.Group.Evidence(ctx, c, calc.DefaultPull)
		if err != nil {
			return nil, err
		}
		known = append(known, e)
	}
	return known, nil
}

// comparedOf is what to compare: the combinations known to the group that have a side on both lists; and, where a gel
// and a needle are both named but not known together, that pair with the supplied syringe.
func comparedOf(ctx context.Context, env *Env, sides question.Sides) ([]trade.Combination, error) {
	ofGel := func(c trade.Combination, p trade.Product) bool { return c.Product.ID == p.ID }
	onNeedle := func(c trade.Combination, i trade.Instrument) bool { return c.Instrument.Name() == i.Name() }
	all, err := knownCombinations(ctx, env, func(c trade.Combination) bool {
		gel := func(p trade.Product) bool { return ofGel(c, p) }
		needle := func(i trade.Instrument) bool { return onNeedle(c, i) }
		return (len(sides.Products) == 0 || slices.ContainsFunc(sides.Products, gel)) &&
			(len(sides.Instruments) == 0 || slices.ContainsFunc(sides.Instruments, needle))
	})
	for _, p := range sides.Products {
		for _, i := range sides.Instruments {
			known := func(c trade.Combination) bool { return ofGel(c, p) && onNeedle(c, i) }
			if len(all) < mostCompared && !slices.ContainsFunc(all, known) {
				all = append(all, trade.Combination{Product: p, Instrument: i, Syringe: trade.Syringe{}.Filled()})
			}
		}
	}
	return all, err
}

// knownCombinations are the tested and the stocked combinations that pass, each once.
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

// byHold orders the tested before the untested and a hold before none, then by the share that shows by the ceiling, the
// largest first.
func byHold(a, b *knowledge.Evidence) int {
	rank := func(e *knowledge.Evidence) int {
		hold := holdSeconds(e)
		switch { // above any hold
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

// comparedWords is one combination in a line. An untested one never gets a verdict or a hold.
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
