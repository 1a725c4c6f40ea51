package commands

import (
	"context"
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	stockName = "stock"
	doOption  = "do"

	mostSaid = 50 // things in one message

	// What /stock does.
	doHold   = "hold"
	doRemove = "remove"
	doList   = "list"
)

var stockCommand = &Command{
	Name:    stockName,
	Summary: "Say which gels you hold and on which needles, take some out, or list them",
	Help: "One line: the gel and the needles or cannulas you use it on, several gels if you like. With nothing it lists what you hold. " +
		"Write remove in front to take some out. A gel that is new to the group is asked about first.",
	Free:     true,
	FreeHelp: "as in: Dunmere Deep 27G 13 mm and 25G 38 mm cannula",
	Options: []Option{
		{Name: productOption, Help: "the gel, as it is called on the box", Suggest: suggestProducts},
		{Name: instrumentOption, Help: "one or several, as in 27G 13 mm and 25G 38 mm cannula", Suggest: suggestInstruments},
		{Name: syringeOption, Help: "supplied, or a fixed-needle syringe and its volume", Suggest: suggestSyringes},
		{Name: doOption, Help: "what to do with them; hold unless said", Choices: []string{doHold, doRemove, doList}},
		{Name: classOption, Help: "the class of a gel that is new to the group", Choices: gelClassNames()},
		{Name: sameOption, Help: "the gel on the list that the new name is another name for", Suggest: suggestProducts},
	},
	Who:      anyMember,
	Slow:     true,
	Form:     stockForm(),
	Examples: []string{"/stock Dunmere Deep 27G 13 mm and 25G 38 mm cannula", "/stock", "/stock remove Orrick Mid"},
	Run:      runStock,
}

func runStock(ctx context.Context, env *Env, req Request) (Card, error) {
	m, err := req.Asker.member(ctx, env)
	if err != nil {
		return Card{}, err
	}
	req = doInWords(req)
	said, err := saidStock(ctx, env, req)
	if err != nil {
		return Card{}, err
	}
	if req.value(doOption) == doList || len(said) == 0 && req.value(doOption) == "" {
		return ownStockCard(ctx, env, m, req.example())
	}
	if len(said) == 1 && everything.MatchString(said[0].gel) && req.value(doOption) == doRemove {
		return Card{}, refuse("Name each gel that goes. Nothing was taken out.", "Everything at once is not taken out.")
	}
	if len(said) > mostSaid {
		return Card{}, refuse("Say them in several messages. Nothing was stored.", "That is more than %d at once.", mostSaid)
	}
	if len(said) == 0 {
		return Card{}, refuse("Write for example: /stock Dunmere Deep 27G 13 mm.", "Which gel?")
	}
	if req.value(doOption) == doRemove {
		return removeStock(ctx, env, m, req, said)
	}
	return holdStock(ctx, env, m, req, said)
}

var (
	everything = regexp.MustCompile(`(?i)^(?:all|everything|all of (?:it|them))$`)
	haveWords  = regexp.MustCompile(`(?i)^(?:add|hold|(?:i|we)\s+(?:also\s+)?(?:have|hold|use|stock|got))[:,]?\s+`)
)

// doInWords takes first words that say what to do off the text.
func doInWords(req Request) Request {
	req.Text = haveWords.ReplaceAllString(req.Text, "")
	first, rest, _ := strings.Cut(req.Text, " ")
	for _, word := range []string{doRemove, doList} {
		if req.value(doOption) == "" && strings.EqualFold(strings.Trim(first, ":,"), word) {
			req = req.with(doOption, word)
			req.Text = rest
		}
	}
	return req
}

// holdStock puts on record what was said, all of it or nothing. Gels that are new
// to the group are asked about one after the other; what has been answered for is
// on record before the next is asked.
func holdStock(ctx context.Context, env *Env, m knowledge.Member, req Request, said []saidItem) (Card, error) {
	items, back, err := readStock(ctx, env, req, said)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	names := newNames(items)
	if len(names) == 0 {
		return noteStock(ctx, env, m, items, nil)
	}
	product, words, err := settleGel(ctx, env, m, req, names[0])
	if err != nil {
		return Card{}, err
	}
	if product.ID == 0 {
		return newGelCard(ctx, env, req, names[0], items)
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
	noted, err := noteStock(ctx, env, m, ready, []Fact{{"", words}})
	if err != nil || len(rest) == 0 {
		return noted, err
	}
	next, err := newGelCard(ctx, env, withoutGel(req), names[1], rest)
	next.Verdict = noted.Title + "."
	next.Facts = append(noted.Facts, next.Facts...)
	return next, err
}

// noteStock puts items on record that are all known to the group.
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
	c := Card{Title: "In your stock: " + heldWords(words), Verdict: addedWords(len(added), len(items))}
	c.Facts = append(c.Facts, news...)
	if len(open) > 0 {
		c.line("You named no needle or cannula for %s: until you do, the group cannot tell which tests of it are missing.", strings.Join(open, ", "))
	}
	c.Actions = []Action{{Label: "all you hold", Request: Request{Command: stockName}}, {Label: "what is untested", Request: Request{Command: untestedName}}}
	return c, nil
}

// mostInTitle is how many things a title names.
const mostInTitle = 4

// heldWords joins things with semicolons: there are commas in them.
func heldWords(words []string) string {
	if more := len(words) - mostInTitle; more > 0 {
		return strings.Join(words[:mostInTitle], "; ") + " and " + trimNumber(float64(more)) + " more"
	}
	return strings.Join(words, "; ")
}

func addedWords(added, said int) string {
	switch {
	case added == 0:
		return "It was there already; nothing changed."
	case added == said:
		return "Noted."
	}
	return "Noted; " + trimNumber(float64(said-added)) + " of them you held already."
}

// stockWords is a combination in stock: its needle may not be said.
func stockWords(c trade.Combination) string {
	if c.Instrument == (trade.Instrument{}) {
		return c.Product.Name + syringeRemark(c.Syringe)
	}
	return c.Product.Name + ", " + c.Instrument.Name() + syringeRemark(c.Syringe)
}

// removeStock takes out what was said; where no needle is named, all of the gel.
func removeStock(ctx context.Context, env *Env, m knowledge.Member, req Request, said []saidItem) (Card, error) {
	items, back, err := readStock(ctx, env, req, said)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: m.ID})
	if err != nil {
		return Card{}, err
	}
	var gone []int64
	var missing []string
	c := Card{Title: "Out of your stock", Verdict: "Your tests of it stay in the log."}
	for _, item := range items {
		found := false
		for _, h := range held {
			if !item.covers(h.Combination) {
				continue
			}
			found = true
			if !slices.Contains(gone, h.ID) {
				gone = append(gone, h.ID)
				c.line("%s", stockWords(h.Combination))
			}
		}
		if !found {
			missing = append(missing, stockWords(item.combination))
		}
	}
	if len(missing) > 0 {
		return Card{}, refuse("/"+stockName+" lists what you hold. Nothing was taken out.", "You do not hold %s.", listWords(missing))
	}
	if err := env.Group.RemoveStock(ctx, gone...); err != nil {
		return Card{}, err
	}
	return shortened(c), nil
}
