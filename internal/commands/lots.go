package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

const (
	lotsName  = "group lots"
	lotOption = "lot"
)

var lotsCommand = &Command{
	Name:    lotsName,
	Summary: "The lots of a gel side by side: whether one takes longer or shorter than the others",
	Help: "Each lot's times against the gel's other lots on the same combinations and pulls, with limits. Only " +
		"tests with a lot noted are compared; note it in the log line, as in: lot A12 exp 03/2026.",
	Options: []Option{{Name: productOption, Help: "the gel, as it is called on the box; without it, every gel",
		Suggest: suggestProducts}},
	Plain:    wordsAre(productOption),
	Who:      anyMember,
	Shared:   true,
	Examples: []string{"/group lots orrick mid", "/group lots"},
	Run:      runLots,
}

// lotChoice is the option for the lot on the box.
func lotChoice() Option {
	return Option{Name: lotOption, Help: "lot and date as on the box, as in A12 exp 03/2026"}
}

// takeLot takes the lot from a call's option, else out of its words.
//
// Errors: *UserError, *trade.FieldError.
func takeLot(call *Call) (lot trade.Lot, err error) {
	if typed := call.value(lotOption); typed != "" {
		var line logline.Line
		if err := line.Put(logline.Lot, typed, time.Time{}); err != nil {
			return lot, optionProblem(call.cmd, lotOption, typed, err)
		}
		return line.Lot, nil
	}
	if lot, call.text = logline.TakeLot(call.text); lot != (trade.Lot{}) {
		call.Values[lotOption], call.Text = lot.String(), call.text
	}
	return lot, nil
}

func runLots(ctx context.Context, env *Env, call *Call) (Card, error) {
	var gel trade.Product
	var err error
	if call.value(productOption) != "" {
		if gel, err = productAsked(call); err != nil {
			return Card{}, err
		}
	}
	lots, err := env.Group.Lots(ctx, gel.ID)
	if err != nil {
		return Card{}, err
	}
	return lotsCard(gel.Name, lots), nil
}

// lotsCard shows lots side by side; gel is "" for those of every gel.
func lotsCard(gel string, lots []knowledge.LotStanding) Card {
	c := Card{Title: "Lots of " + gel}
	if gel == "" {
		c.Title = "Lots of every gel"
	}
	if len(lots) == 0 {
		c.Verdict = "No test has its lot noted yet."
		c.line("Note it in the log line, as in: lot A12 exp 03/2026; or with /%s.", asideName)
		return c
	}
	compared, apart := 0, 0
	for _, l := range lots {
		if l.Ratio > 0 {
			compared++
		}
		if l.Apart {
			apart++
		}
	}
	c.Verdict = sentence(differWords(count(compared, "lot"), apart))
	if compared == 0 {
		c.Verdict = "They cannot be compared yet: it takes two lots on one combination with one pull, and repeats."
	}
	for _, l := range lots[:min(len(lots), mostListed)] {
		label := strings.TrimPrefix(l.Lot.String(), "lot ")
		if gel == "" {
			label = l.Product.Name + ", " + label
		}
		c.fact(label, "%s", lotWords(l))
	}
	c.andMore(len(lots)-mostListed, ": name a gel")
	if compared > 0 {
		c.line("%s", whyLotsDiffer)
	}
	return c
}

// whyLotsDiffer goes with every comparison of lots.
const whyLotsDiffer = "No test counts less for it. The comparison leaves out tests without flashback; storage and " +
	"age differ with the lot, too."

// lotWords is how one lot compares: "about 1.4 times the other lots' (99 in 100 sure: 1.2 to 1.7); 9 tests by
// 3 members; clearly longer".
func lotWords(l knowledge.LotStanding) string {
	if l.Ratio == 0 {
		return count(l.Noted, "test") + ", too few to compare"
	}
	of := "times the other lots'"
	if l.Ratio < 1 {
		of = "of the other lots' times"
	}
	words := fmt.Sprintf("about %s %s (%s sure: %s to %s); %s", ratioWords(l.Ratio), of, testersSure,
		ratioWords(l.Low), ratioWords(l.High), testsBy(l.Compared, l.Testers))
	switch {
	case l.Apart && l.Ratio < 1:
		words += "; clearly shorter"
	case l.Apart:
		words += "; clearly longer"
	}
	return words
}

// apartLotFacts names the lots that clearly differ from the gel's others.
func apartLotFacts(lots []knowledge.LotStanding) (facts []Fact) {
	lots = slices.DeleteFunc(lots, func(l knowledge.LotStanding) bool { return !l.Apart })
	for _, l := range lots[:min(len(lots), mostTesters)] {
		facts = append(facts, Fact{l.Product.Name + ", lot " + l.Lot.Number, lotWords(l)})
	}
	if len(lots) > 0 {
		facts = append(facts, Fact{"", whyLotsDiffer})
	}
	return facts
}

// outWords says that a lot is past its date on a day, "" where it is not.
func outWords(l trade.Lot, day string) string {
	if !l.OutOn(day) {
		return ""
	}
	return "; past its date, " + l.Expires
}
