package knowledge

import (
	"context"
	"io"
	"strconv"
	"time"

	"holdbench/internal/trade"
)

// ExportRecord writes all that is stored about a member, one thing a line. It is for the
// member to read, not for importing. ErrNotFound for somebody who is not a member.
func (g *Group) ExportRecord(ctx context.Context, w io.Writer, m Member) (err error) {
	defer wrap(&err, "export the record of a member")
	r, err := g.RecordOf(ctx, m)
	if err != nil {
		return err
	}
	sheet := newSheetWriter(w, "kind", "number", "on", "what", "detail", "note", "link")
	line := func(kind, on, what, detail string) { sheet.row(kind, "", on, what, detail, "", "") }
	line("you", "", "platform id", r.Member.Ref)
	line("you", "", "shown name", r.Member.Name)
	line("you", "", "role when last stored", string(r.Member.Role))
	line("you", r.Since.Format(time.RFC3339), "put on the list", "")
	line("you", "", "be mentioned in reminders", yesNo(r.Choices.MayMention))
	line("you", "", "be told when a verdict changes", yesNo(r.Choices.TellVerdicts))
	if !r.Direct.IsZero() {
		line("you", r.Direct.Format(time.RFC3339), "chose this group to answer in direct messages", "")
	}
	for _, t := range r.Tests {
		sheet.row("test", numbered(t.ID), t.TestedOn, t.Combination.String(), trialWords(t), t.Note, t.Film.Link)
	}
	for _, s := range r.Stock {
		line("stock", s.StockedOn, heldName(s.Combination), "")
	}
	for _, c := range r.Claims {
		line("taken on", c.TakenOn, c.Combination.String(), "by "+c.DueOn+", "+string(c.State))
	}
	for _, i := range r.Box {
		line("put aside", i.PutOn, i.Combination.String(), i.Label()+", "+string(i.State))
	}
	for _, a := range r.Asked {
		line("asked about", a.On, a.Combination.String(), "")
	}
	for _, c := range r.Done {
		sheet.row("done to the log", numbered(c.TestID), c.At.Format(time.RFC3339), string(c.Action)+": "+c.Product,
			fromTo(c), c.Reason, "")
	}
	line("box places emptied", "", strconv.Itoa(r.Emptied), "")
	line("bench sessions logged", "", strconv.Itoa(r.Batches), "")
	line("watched by presses in the chat", "", strconv.Itoa(r.Watches), "")
	return sheet.close()
}

// numbered is a row number as it is shown, "" for none.
func numbered(id int64) string {
	if id == 0 {
		return ""
	}
	return strconv.FormatInt(id, 10)
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// trialWords is what was measured, in one cell.
func trialWords(t BenchTest) string {
	result := "none"
	if t.Outcome == Flashback {
		result = trade.Number(t.Told()) + " s"
	}
	words := result + ", " + t.Timing + "; " + t.Liquid + " at " + trade.Number(t.LiquidC) + " °C, pull " +
		trade.Number(t.PullML) +
		" mL, watched " + trade.Number(t.WatchedS) + " s; " + string(t.State) + ", stored " +
		t.LoggedAt.Format(time.RFC3339)
	if t.Film.Marks != "" {
		words += "; film " + t.Film.Marks
	}
	if lot := t.Lot.String(); lot != "" {
		words += "; " + lot
	}
	return words
}

// heldName is a combination in stock, which may be without an instrument.
func heldName(c trade.Combination) string {
	if c.Instrument == (trade.Instrument{}) {
		return c.Product.Name + ", " + c.Syringe.Name + " syringe"
	}
	return c.String()
}

// fromTo is what a product was before a change and after it, "" for a change of a test.
func fromTo(c LogChange) string {
	if c.Before == "" && c.After == "" {
		return ""
	}
	return c.Before + " → " + c.After
}
