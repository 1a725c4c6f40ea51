package commands

import (
	"strings"
	"testing"

	"holdbench/internal/calc"
)

// The lines of a phone held upright, and how many of them a screen has (measured on a
// phone of 390 points; the project's choice).
const (
	holdLines    = 14         // of a hold with a title of one line, caveats included
	otherLines   = phoneLines // of an answer without a hold, or one to seconds or a pull that were named, caveats included
	receiptLines = 4          // of a logged test, without what was assumed and the caveats
	helpLines    = 20
)

// glance is a card as the asker sees it before the buttons.
func glance(card Card) []string {
	card.Actions, card.Links, card.Picks = nil, nil, nil
	return strings.Split(strings.TrimRight(card.TextIn(phoneColumns), "\n"), "\n")
}

func TestAnAnswerFitsAPhone(t *testing.T) {
	holds, others, longest := 0, 0, 0
	for _, path := range few(transcriptFiles(t), 6) {
		for _, x := range replayed(t, path).exchanges {
			f, is := x.card.Figures.(answered)
			if !is || len(x.card.Before) > 0 {
				continue
			}
			lines := glance(x.card)
			title := len(glance(Card{Title: x.card.Title}))
			limit := otherLines
			asked := strings.Contains(x.card.Text(), "as you asked") || f.PullML != calc.DefaultPull.Millilitres()
			if f.HoldS != nil && !asked && len(x.card.Warnings) == 0 {
				limit = holdLines + title - 1 // a syringe beside the usual one makes the title longer
				holds++
			} else {
				others++
			}
			longest = max(longest, len(lines))
			if len(lines) > limit {
				t.Errorf("%s: %d lines\n%s", path, len(lines), strings.Join(lines, "\n"))
			}
		}
	}
	if !testing.Short() && (holds < 3 || others < 20) {
		t.Errorf("only %d holds and %d other answers seen", holds, others)
	}
	t.Logf("%d holds, %d other answers, at most %d lines", holds, others, longest)
}

func TestAReceiptIsShort(t *testing.T) {
	env := demoEnv(t)
	card := says(t, env, askingMember, "log orrick mid 30G 13 mm 6.4 s")
	words := strings.Split(strings.Join(glance(card), "\n"), "  Assumed")[0]
	if n := strings.Count(words, "\n"); n > receiptLines {
		t.Errorf("%d lines\n%s", n, words)
	}
}

func TestTheHelpIsOneScreen(t *testing.T) {
	if lines := glance(says(t, demoEnv(t), askingMember, "help")); len(lines) > helpLines {
		t.Errorf("%d lines\n%s", len(lines), strings.Join(lines, "\n"))
	}
}
