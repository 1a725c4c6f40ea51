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
	mostCompared = 12 // rows a phone shows without losing the top
)

var compareCommand = &Command{
	Name:    compareName,
	Summary: "One gel on all its needles and cannulas, or one needle with all its gels",
	Help: "What is tested or in stock, tested ones first and by their hold. Name a gel to see it on each needle " +
		"and cannula, a needle or cannula to see it with each gel, or several of both to see just these.",
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
	switch {
	case sides.Problem != "":
		return Card{}, refuse("/"+productsName+" lists the gels, /"+instrumentsName+" needles and cannulas.", "%s",
			sides.Problem)
	case len(sides.Products)+len(sides.Instruments) == 0 && call.text != "":
		return Card{}, refuse("/"+productsName+" lists them.", "The group has no product called %s.", echo(call.text))
	case len(sides.Products)+len(sides.Instruments) == 0:
		return Card{}, refuse("Write for example "+call.example()+".", "Compare what? Name a gel, or a needle or cannula.")
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

// compareInWords puts what a button is about into the option for the gel. Free text stays: it may name several.
func compareInWords(_ context.Context, _ *Env, call *Call) error {
	if call.About == "" {
		return nil
	}
	c, err := pinned(call.lists, call.About)
	call.take(productOption, c.Product.Name)
	call.text = ""
	return err
}

// sidesTitle names what all rows share, and rowName a row by what they do not.
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

// compareCard lists the tested by their hold, and after them the untested, told apart in words. Where a gel and a
// needle are both named it has these, else what is tested or in stock.
func compareCard(ctx context.Context, env *Env, sides question.Sides) (Card, error) {
	all, err := comparedOf(ctx, env, sides)
	if err != nil {
		return Card{}, err
	}
	title, name := sidesTitle(sides)
	c := Card{Title: title}
	if len(sides.Rest) > 0 {
		c.warn("Nothing was made of %s.", echo(strings.Join(sides.Rest, " ")))
	}
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

// comparedOf are the combinations that sides come to: the known ones, and of a gel and a needle that are both named the
// one with the supplied syringe where none is known.
func comparedOf(ctx context.Context, env *Env, sides question.Sides) ([]trade.Combination, error) {
	of := func(p trade.Product, i trade.Instrument) func(trade.Combination) bool {
		return func(c trade.Combination) bool {
			return (p.ID == 0 || c.Product.ID == p.ID) && (i == trade.Instrument{} || c.Instrument.Name() == i.Name())
		}
	}
	each := func(c trade.Combination) bool {
		return (len(sides.Products) == 0 || slices.ContainsFunc(sides.Products,
			func(p trade.Product) bool { return of(p, trade.Instrument{})(c) })) &&
			(len(sides.Instruments) == 0 || slices.ContainsFunc(sides.Instruments,
				func(i trade.Instrument) bool { return of(trade.Product{}, i)(c) }))
	}
	all, err := knownCombinations(ctx, env, each)
	for _, p := range sides.Products {
		for _, i := range sides.Instruments {
			if len(all) < mostCompared && !slices.ContainsFunc(all, of(p, i)) {
				all = append(all, trade.Combination{Product: p, Instrument: i, Syringe: trade.Syringe{}.Filled()})
			}
		}
	}
	return all, err
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
