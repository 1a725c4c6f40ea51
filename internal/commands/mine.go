package commands

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"holdbench/internal/calc"
	"holdbench/internal/chart"
	"holdbench/internal/knowledge"
	"holdbench/internal/say"
	"holdbench/internal/trade"
)

const mineName = "mine"

var mineCommand = &Command{
	Name:    mineName,
	Short:   "what you stock, with its hold",
	Summary: "Your sheet to keep or print: each combination you stock, with its hold, no hold, or untested",
	Help: "What the group's tests say today about what you stock, holds first, as an A6 picture and in words. It is " +
		"dated, because a hold may change with the next test.",
	Options:  []Option{pageNumber(), backgroundChoice()},
	Who:      anyMember,
	Admits:   true,
	Bearing:  Bearing{Bedside: true},
	Examples: []string{"/mine", "/mine background:dark"},
	Run:      runMine,
}

func runMine(ctx context.Context, env *Env, call *Call) (Card, error) {
	held, err := env.Group.Stock(ctx, knowledge.StockFilter{MemberID: call.by.ID})
	if err != nil {
		return Card{}, err
	}
	var used []trade.Combination
	for _, item := range held {
		if item.Combination.Instrument != (trade.Instrument{}) {
			used = append(used, item.Combination)
		}
	}
	all, err := env.evidenceOf(ctx, used)
	if err != nil {
		return Card{}, err
	}
	slices.SortStableFunc(all, func(a, b *knowledge.Evidence) int {
		return cmp.Or(cmp.Compare(say.Place(a.State), say.Place(b.State)),
			cmp.Compare(stockWords(a.Combination), stockWords(b.Combination)))
	})
	return mineCard(all, chart.Mine{Group: call.settings.Name, Day: call.today(),
		Ceiling: float64(call.settings.Ceiling), Dark: call.onDark()}, len(held)-len(used), call)
}

// mineCard is the sheet of a day: holds first, then what has none, then the untested. bare is how many gels are in
// stock without a needle or cannula.
func mineCard(all []*knowledge.Evidence, sheet chart.Mine, bare int, call *Call) (Card, error) {
	c := Card{Title: "My sheet, " + sheet.Day}
	if len(all) == 0 {
		c.line("Your stock has nothing with a needle or cannula. Say what you use: %s", stockCommand.Examples[0])
		return c, nil
	}
	sheet.PullML = round3(calc.DefaultPull.Millilitres())
	for _, e := range all {
		sheet.Rows = withRow(sheet.Rows, mineRow(e))
		c.sayBehind(e)
	}
	if bare > 0 {
		sheet.Notes = []string{count(bare, "gel") + " in your stock without a needle or cannula."}
	}
	page, err := call.page(sheet.Pages())
	if err != nil {
		return Card{}, err
	}
	p, err := sheet.Draw(page)
	if err != nil {
		return Card{}, fmt.Errorf("sheet of a member: %w", err)
	}
	c.Picture = call.drawn(p, page)
	c.Verdict = sheet.Standing(page)
	from, to := sheet.Span(page)
	c.mineLines(sheet.Rows[from:to])
	for _, note := range sheet.Notes {
		c.line("%s", note)
	}
	c.Actions = append(call.turning(page, sheet.Pages()), call.withoutAsker().otherPaper(), UntestedAction())
	return c, nil
}

// mineRow is a combination, in the form that the sheet takes.
func mineRow(e *knowledge.Evidence) chart.MineRow {
	u := usedInstrument{e.Combination.Instrument, e.Combination.Syringe}
	row := chart.MineRow{Product: e.Combination.Product.Name, Setup: u.name(), State: e.State}
	switch {
	case e.State == calc.StateHold:
		row.Hold, row.Why = e.Advice.Seconds, testsBy(e.Advice.Tests, e.Advice.Members)
	case e.Tested:
		row.Why = say.Reason(e.State, e.Advice)
	}
	return row
}

// withRow adds a row. One without a hold joins the row above where that says the same of the same gel.
func withRow(rows []chart.MineRow, row chart.MineRow) []chart.MineRow {
	if last := len(rows) - 1; last >= 0 {
		one, other := rows[last], row
		one.Setup, other.Setup = "", ""
		if one == other && row.State != calc.StateHold {
			rows[last].Setup += ", " + row.Setup
			return rows
		}
	}
	return append(rows, row)
}

// mineLines says the rows in words: one line for each hold, the others together by what they lack.
func (c *Card) mineLines(rows []chart.MineRow) {
	for _, row := range rows {
		label, text := row.Verdict(), row.Product+" "+row.Setup
		if row.State != calc.StateHold && row.Why != "" {
			label += ", " + row.Why
		}
		if last := len(c.Facts) - 1; last >= 0 && row.State != calc.StateHold && c.Facts[last].Label == label {
			c.Facts[last].Text += "; " + text
			continue
		}
		c.fact(label, "%s", text)
	}
}
