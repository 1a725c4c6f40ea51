package commands

import (
	"strings"
	"testing"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
)

// The lines of a phone held upright, and how many of them a screen has (measured on a
// phone of 390 points; the project's choice).
const (
	holdLines = 14 // of a hold with a title of one line, caveats included
	// of an answer without a hold, or one to seconds or a pull that were named, caveats included
	otherLines   = phoneLines
	receiptLines = 4 // of a logged test, without what was assumed and the caveats
	helpLines    = 20
)

// glance is a card as the asker sees it before the buttons and lists.
func glance(card Card) []string {
	card.Actions, card.Links, card.Picks, card.Picture = nil, nil, nil, nil // below the words, or a terminal's
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

// Every page of a list fits a phone, and leads on and back.
func TestEveryPageOfAListFitsAPhone(t *testing.T) {
	env := demoEnv(t)
	for line, asker := range map[string]Asker{
		"/totest list": askingMember, "/stock list": askingMember, "/group coverage": askingMember,
		"/group gels": askingMember, "/group needles": askingMember, "/trainer stock": askingTrainer,
		"/trainer stock tamsel fine": askingTrainer,
	} {
		card, pages := says(t, env, asker, line), 1
		for ; ; pages++ {
			if lines := glance(card); len(lines) > phoneLines || card.Refused || len(card.Facts) == 0 {
				t.Fatalf("%s, page %d: %d lines\n%s", line, pages, len(lines), strings.Join(lines, "\n"))
			}
			to := map[string]Request{}
			for _, a := range card.Actions {
				to[a.Label] = a.Request
			}
			next, more := to[nextPage]
			if back, is := to["previous page"]; is != (pages > 1) || is && back.Command != next.Command && more {
				t.Fatalf("%s, page %d: back %t\n%s", line, pages, is, card.Text())
			}
			if !more {
				break
			}
			next.Asker = asker
			card = Answer(t.Context(), env, next)
		}
		t.Logf("%s: %d pages", line, pages)
	}
}

func TestASheetIsSaidInAPhonesLines(t *testing.T) {
	env := demoEnv(t)
	for _, ref := range []string{"quayside", "osier", "millbrook", "lantern", "fernhill"} {
		card := says(t, env, Asker{Ref: ref, Role: knowledge.MemberRole}, "/mine")
		if lines := glance(card); len(lines) > phoneLines || card.Picture == nil {
			t.Errorf("%s: %d lines\n%s", ref, len(lines), strings.Join(lines, "\n"))
		}
	}
}

// An answer says once that it is no test.
func TestAnUntestedAnswerSaysSoOnce(t *testing.T) {
	env := demoEnv(t)
	for _, line := range []string{"dunmere deep 30g 8mm", "/explain why dunmere deep 30g 8mm",
		"/explain negative dunmere deep 30g 8mm, 1 in 200", "/explain picture dunmere deep 30g 8mm"} {
		card := says(t, env, askingMember, line)
		text := strings.ToLower(strings.Join(strings.Fields(card.Text()), " "))
		if n := strings.Count(text, "calculation, not a test"); n != 1 || !card.Untested {
			t.Errorf("%s says so %d times:\n%s", line, n, card.Text())
		}
	}
}
