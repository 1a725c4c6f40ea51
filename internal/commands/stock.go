package commands

import (
	"context"
	"slices"
	"strings"

	"holdbench/internal/knowledge"
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

func stockCommand() *Command {
	return &Command{
		Name:    stockName,
		Summary: "Say which gels you hold and on which needles, take some out, or list them",
		Help: "One line: the gel and the needles or cannulas you use it on. With nothing it lists what you hold. " +
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
		Examples: []string{"/stock Dunmere Deep 27G 13 mm and 25G 38 mm cannula", "/stock", "/stock remove Orrick Mid"},
		Run:      runStock,
	}
}

func runStock(ctx context.Context, env *Env, req Request) (Card, error) {
	if what := knowledge.PatientData(req.Text); what != "" {
		return Card{}, refuse("Nothing of it was kept. Please write it again without it.", "That looks like %s: no patient data belongs here.", what)
	}
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
		return ownStockCard(ctx, env, m)
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

// doInWords takes a first word that says what to do off the text.
func doInWords(req Request) Request {
	first, rest, _ := strings.Cut(req.Text, " ")
	for _, word := range []string{doRemove, doList} {
		if req.value(doOption) == "" && strings.EqualFold(strings.Trim(first, ":,"), word) {
			req = req.with(doOption, word)
			req.Text = rest
		}
	}
	return req
}

// holdStock puts on record what was said, all of it or nothing.
func holdStock(ctx context.Context, env *Env, m knowledge.Member, req Request, said []saidItem) (Card, error) {
	items, back, err := readStock(ctx, env, req, said)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	news, back, err := newGel(ctx, env, m, req, items)
	if err != nil || back != nil {
		return cardOr(back), err
	}
	var stock []knowledge.StockItem
	var words, open []string
	for _, item := range items {
		stock = append(stock, knowledge.StockItem{Combination: item.combination})
		words = append(words, stockWords(item.combination))
		if item.combination.Instrument == (knowledge.Instrument{}) {
			open = append(open, item.combination.Product.Name)
		}
	}
	added, err := env.Group.Hold(ctx, m, stock)
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "In your stock: " + strings.Join(words, "; "), Verdict: addedWords(len(added), len(items))}
	c.Facts = append(c.Facts, news...)
	if len(open) > 0 {
		c.line("You named no needle or cannula for %s: until you do, the group cannot tell which tests of it are missing.", strings.Join(open, ", "))
	}
	c.Actions = []Action{{Label: "all you hold", Request: Request{Command: stockName}}, {Label: "what is untested", Request: Request{Command: untestedName}}}
	return c, nil
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
func stockWords(c knowledge.Combination) string {
	if c.Instrument == (knowledge.Instrument{}) {
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
	var gone []knowledge.StockItem
	for _, item := range items {
		matching := slices.DeleteFunc(slices.Clone(held), func(h knowledge.StockItem) bool { return !item.covers(h.Combination) })
		if len(matching) == 0 {
			return Card{}, refuse("/"+stockName+" lists what you hold. Nothing was taken out.", "You do not hold %s.", stockWords(item.combination))
		}
		gone = append(gone, matching...)
	}
	c := Card{Title: "Out of your stock", Verdict: "Your tests of it stay in the log."}
	taken := map[int64]bool{}
	for _, item := range gone {
		if taken[item.ID] {
			continue
		}
		taken[item.ID] = true
		if err := env.Group.RemoveStock(ctx, item.ID); err != nil {
			return Card{}, err
		}
		c.line("%s", stockWords(item.Combination))
	}
	return shortened(c), nil
}

// ownStockCard lists what a member holds, by gel.
func ownStockCard(ctx context.Context, env *Env, m knowledge.Member) (Card, error) {
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: m.ID})
	if err != nil {
		return Card{}, err
	}
	c := Card{Title: "What you hold"}
	if len(held) == 0 {
		c.Verdict = "Nothing is on record."
		c.line("Say it in one line: %s", stockCommand().Examples[0])
		return c, nil
	}
	for _, gel := range byGel(held) {
		c.fact(gel[0].Combination.Product.Name, "%s", usedOnWords(gel))
	}
	return shortened(c), nil
}

// byGel puts stock together gel by gel, in order of the names.
func byGel(items []knowledge.StockItem) [][]knowledge.StockItem {
	items = slices.Clone(items)
	slices.SortStableFunc(items, func(a, b knowledge.StockItem) int {
		return strings.Compare(a.Combination.Product.Name, b.Combination.Product.Name)
	})
	var gels [][]knowledge.StockItem
	for _, item := range items {
		if last := len(gels) - 1; last >= 0 && gels[last][0].Combination.Product.ID == item.Combination.Product.ID {
			gels[last] = append(gels[last], item)
			continue
		}
		gels = append(gels, []knowledge.StockItem{item})
	}
	return gels
}

// usedOnWords says on which needles and cannulas some stock of one gel is used.
func usedOnWords(items []knowledge.StockItem) string {
	var on []string
	for _, item := range items {
		words := "no needle or cannula named" + syringeRemark(item.Combination.Syringe)
		if item.Combination.Instrument != (knowledge.Instrument{}) {
			words = item.Combination.Instrument.Name() + syringeRemark(item.Combination.Syringe)
		}
		on = append(on, words)
	}
	return strings.Join(on, "; ")
}

// shortened leaves out the rows that a phone would lose the top for.
func shortened(c Card) Card {
	if more := len(c.Facts) - mostListed; more > 0 {
		c.Facts = c.Facts[:mostListed]
		c.line("and %d more", more)
	}
	return c
}
