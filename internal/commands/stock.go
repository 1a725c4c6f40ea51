package commands

import (
	"context"
	"regexp"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	stockName = "stock add"
	mostSaid  = 50 // things in one message
)

// stockOptions are combinationOptions that take several needles or cannulas of one gel.
func stockOptions(others ...Option) []Option {
	options := combinationOptions(others...)
	options[1].Help = "one or several, as in 27G 13 mm and 25G 38 mm cannula"
	return options
}

var stockCommand = &Command{
	Name:    stockName,
	Short:   "what you use",
	Summary: "Say which gels you hold and on which needles",
	Help: "One line: the gel and the needles or cannulas you use it on, several gels if you like. " +
		"A gel that is new to the group is asked about first.",
	Free:     true,
	FreeHelp: "as in: Dunmere Deep 27G 13 mm and 25G 38 mm cannula",
	Options: stockOptions(
		gelClassOption("the class of a gel that is new to the group", false),
		Option{Name: sameOption, Help: "the gel on the list that the new name is another name for",
			Suggest: suggestProducts},
	),
	Who:      anyMember,
	Admits:   true,
	Form:     stockForm(),
	Plain:    haveInWords,
	Examples: []string{"/stock add Dunmere Deep 27G 13 mm and 25G 38 mm cannula"},
	Run:      runStock,
}

func runStock(ctx context.Context, env *Env, call *Call) (Card, error) {
	said, err := stockSaid(call)
	if err != nil {
		return Card{}, err
	}
	return holdStock(ctx, env, call, said)
}

// stockSaid is what a message says is held.
//
// Errors: *UserError where it says nothing, or too much at once.
func stockSaid(call *Call) (said []saidItem, err error) {
	if said, err = saidStock(call); err != nil {
		return nil, err
	}
	switch {
	case len(said) > mostSaid:
		err = refuse("Say them in several messages. Nothing was stored.", "That is more than %d at once.", mostSaid)
	case len(said) == 0:
		err = refuse("Write for example: "+call.example()+".", "Which gel?")
	}
	return said, err
}

var haveWords = regexp.MustCompile(`(?i)^(?:add|hold|(?:i|we)\s+(?:also\s+)?(?:have|hold|use|stock|got))[:,]?\s+`)

// haveInWords cuts opening words such as "I also have" off the text.
func haveInWords(_ context.Context, _ *Env, call *Call) error {
	call.text = haveWords.ReplaceAllString(call.text, "")
	return nil
}

// holdStock stores what was said, all of it or nothing. It asks about gels that are new to the group one after the
// other, and stores each with its answer before it asks about the next.
func holdStock(ctx context.Context, env *Env, call *Call, said []saidItem) (Card, error) {
	items, err := readStock(call, said)
	if err != nil {
		return Card{}, err
	}
	names := newNames(items)
	if len(names) == 0 {
		return noteStock(ctx, env, call.by, items, nil)
	}
	product, words, err := settleGel(ctx, env, call, names[0])
	if err != nil {
		return Card{}, err
	}
	if product.ID == 0 {
		return newGelCard(ctx, env, call.Request, names[0], items)
	}
	var ready, rest []stockItem
	for _, item := range items {
		switch {
		case item.combination.Product.ID != 0:
			ready = append(ready, item)
		case strings.EqualFold(item.combination.Product.Name, names[0]):
			item.combination.Product = product
			ready = append(ready, item)
		default:
			rest = append(rest, item)
		}
	}
	noted, err := noteStock(ctx, env, call.by, ready, []Fact{{"", words}})
	if err != nil || len(rest) == 0 {
		return noted, err
	}
	withoutAnswer := Request{Command: call.Command, Asker: call.Asker}
	next, err := newGelCard(ctx, env, withoutAnswer, names[1], rest)
	next.Verdict = noted.Title + "."
	next.Facts = append(noted.Facts, next.Facts...)
	return next, err
}

// noteStock stores items whose gels are all on the group's list. news goes first on its card.
func noteStock(ctx context.Context, env *Env, m knowledge.Member, items []stockItem, news []Fact) (Card, error) {
	var stock []knowledge.StockItem
	var words, open []string
	for _, item := range items {
		stock = append(stock, knowledge.StockItem{Combination: item.combination})
		words = append(words, stockWords(item.combination))
		if item.combination.Instrument == (trade.Instrument{}) {
			open = append(open, item.combination.Product.Name)
		}
	}
	added, err := env.Group.Hold(ctx, m, stock)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "In your stock: " + someOf(words, mostInTitle, "; "), Verdict: addedWords(len(added), len(items))}
	c.Facts = append(c.Facts, news...)
	if len(open) > 0 {
		c.line("You named no needle or cannula for %s: until you do, the group cannot tell which tests of it are "+
			"missing.", strings.Join(open, ", "))
	}
	c.Actions = []Action{toAsk("all you hold", stockListName), toAsk("what is untested", untestedName)}
	return c, nil
}

// mostInTitle is how many things a title names.
const mostInTitle = 4

func addedWords(added, said int) string {
	switch {
	case added == 0:
		return "It was there already; nothing changed."
	case added == said:
		return "Noted."
	}
	return "Noted; " + trimNumber(float64(said-added)) + " of them you held already."
}

// stockWords names a combination without the supplied syringe, and without the needle where none is on record.
func stockWords(c trade.Combination) string {
	needle := ""
	if c.Instrument != (trade.Instrument{}) {
		needle = c.Instrument.Name()
	}
	return joinNonEmpty(", ", c.Product.Name, needle) + syringeRemark(c.Syringe)
}

// stockForm takes one gel and what it is used on, in two lines.
func stockForm() *Form {
	return &Form{
		Title: "A gel you hold",
		Fields: []Field{
			{Name: productOption, Label: "Gel", Help: "as it is called on the box", Most: 100, Required: true},
			{Name: instrumentOption, Label: "Needles and cannulas you use it on",
				Help: "as in 27G 13 mm and 25G 38 mm cannula; one a line will do", Most: maxValue, Long: true},
		},
	}
}
