package knowledge

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/trade"
)

// fillBench gives a community claims, a box, notices and a history, the same way
// whoever it is.
func fillBench(t *testing.T, g *Group, r *rows, ref string) {
	t.Helper()
	ctx := t.Context()
	osier, other := Member{Ref: "osier"}, Member{Ref: "member of " + ref}
	done := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	done(g.SetChoices(ctx, osier, Choices{MayMention: true, TellVerdicts: true}))
	done(g.NoteAsked(ctx, osier, orrickOn27(), "2026-11-20"))
	on30 := orrickOn27()
	on30.Instrument = needle(30, 13)
	r.claim = must(g.TakeOn(ctx, other, on30, "2026-11-26"))(t).ID
	must(g.PutAside(ctx, BoxItem{Member: other, Combination: on30, PutOn: "2026-11-01",
		RequestKey: "the same item"}))(t)
	r.item = must(g.PutAside(ctx, BoxItem{Member: osier, Combination: orrickOn27(), PutOn: "2026-10-01"}))(t).ID
	must(g.LogBatch(ctx, osier, "the same batch", []BoxResult{{Number: 1, Test: shown(3)},
		{Number: 9, Test: shown(3)}}))(t)
	upToDate(t, g)
	must(g.TakeOn(ctx, other, on30, "2026-11-26"))(t)
	fillWatches(t, g, r, ref)
	class := must(g.OpenClass(ctx, Class{Combination: orrickOn27(), PullML: 0.1, Liquid: "whole milk", LiquidC: 20,
		Channel: "the same channel"}))(t)
	r.class = class.ID
	inClass := shown(3.5)
	inClass.Class = class.ID
	must(g.LogTest(ctx, inClass))(t)
	upToDate(t, g)
	must(g.CheckTest(ctx, r.test, osier))(t)
	must(g.LookAtSetup(ctx, orrickOn27(), osier))(t)
	must(g.AddAlias(ctx, r.product, "by hand "+ref, osier))(t)
	gone := must(g.AddProduct(ctx, trade.Product{Name: "Gone " + ref, Class: calc.SoftHA}))(t)
	r.merged = gone.ID
	stray := shown(5)
	stray.Combination.Product.Name = gone.Name
	must(g.LogTest(ctx, stray))(t)
	upToDate(t, g)
	must(g.MergeProducts(ctx, gone.ID, must(g.Product(ctx, "Pellow "+ref))(t).ID, osier, "merged in "+ref))(t)
	upToDate(t, g)
	n, mine, err := g.ClaimNotice(ctx, BoxProposed, "the same key")
	if err != nil || !mine {
		t.Fatal(mine, err)
	}
	done(g.CompleteNotice(ctx, n, "post of "+ref))
	if _, mine, err := g.ClaimPrompt(ctx, "2026-W40"); err != nil || !mine {
		t.Fatal(mine, err)
	}
}

// fillWatches gives a community a session: one watch that became a test, one that goes
// on, and with B more of them, so that its numbers are none of A's.
func fillWatches(t *testing.T, g *Group, r *rows, ref string) {
	t.Helper()
	ctx, osier := t.Context(), Member{Ref: "osier"}
	item := must(g.PutAside(ctx, BoxItem{Member: osier, Combination: orrickOn27(), PutOn: "2026-11-02"}))(t)
	w := must(g.WatchNext(ctx, Watch{Member: osier, Item: item, Bench: "bench of " + ref}))(t)
	for range map[string]int{"A": 0, "B": 5}[ref] {
		w = must(g.EndWatch(ctx, w.ID, osier, WatchAnew))(t)
		w = must(g.WatchNext(ctx, w))(t)
	}
	must(g.PlungerBack(ctx, w.ID, osier, stopped))(t)
	must(g.LogWatch(ctx, w.ID, osier, shown(3.5)))(t)
	upToDate(t, g)
	r.watch = must(g.WatchNext(ctx, w))(t).ID
}

// openly writes open combinations down with the claims they point at.
func openly(open []OpenCombination, err error) string {
	text := ""
	for _, o := range open {
		if o.Claim != nil {
			text += fmt.Sprintf("claim %+v ", *o.Claim)
		}
		o.Claim = nil
		text += wrote(o, nil)
	}
	return text + wrote(nil, err)
}

// flaggedly writes flagged tests down with the checks they point at.
func flaggedly(flagged []FlaggedTest, err error) string {
	text := ""
	for _, f := range flagged {
		if f.Checked != nil {
			text += fmt.Sprintf("checked %+v ", *f.Checked)
		}
		text += wrote(f.Test, nil)
	}
	return text + wrote(nil, err)
}

// spreadly writes a spread down with the measured one it points at.
func spreadly(r SpreadReport, err error) string {
	text := ""
	if r.Measured != nil {
		text = wrote(*r.Measured, nil)
	}
	r.Measured = nil
	return text + wrote(r, err)
}

// learnedly writes down what came of learning, with the reason it points at.
func learnedly(o SpreadOutcome, err error) string {
	text := ""
	if o.TooFew != nil {
		text = o.TooFew.Error()
	}
	o.TooFew = nil
	return text + wrote(o, err)
}

// outcomes writes what became of a batch down with the problems it points at.
func outcomes(became []BoxOutcome, err error) string {
	text := ""
	for _, o := range became {
		if o.Problem != nil {
			text += o.Problem.Error()
		}
		o.Problem = nil
		text += wrote(o, nil)
	}
	return text + wrote(nil, err)
}

// benchCases has the calls of [cases] for the methods about the bench.
func benchCases(t *testing.T) map[string]func(g *Group, r rows) string {
	ctx := t.Context()
	osier := Member{Ref: "osier"}
	combination := func(r rows) trade.Combination {
		return trade.Combination{Product: trade.Product{ID: r.product}, Instrument: trade.Instrument{ID: r.instrument},
			Syringe: trade.Syringe{ID: r.syringe}}
	}
	claimed := func(n Notice, mine bool, err error) string {
		return fmt.Sprintf("%s %d %v %v %t\n", n.Key, n.Attempt, n.Begun, err, mine)
	}
	const today = "2026-11-25"
	return map[string]func(g *Group, r rows) string{
		"Choices": func(g *Group, r rows) string {
			return wrote(g.Choices(ctx, Member{ID: r.member})) + wrote(g.Choices(ctx, Member{Ref: "member of B"}))
		},
		"KeepUnconfirmed": func(g *Group, r rows) string {
			return wrote(nil, g.KeepUnconfirmed(ctx, Member{ID: r.member},
				Unconfirmed{What: "w", How: "h", At: stopped}))
		},
		"TakeUnconfirmed":  func(g *Group, r rows) string { return wrote(g.TakeUnconfirmed(ctx, Member{Ref: "member of B"})) },
		"CoveragePost":     func(g *Group, r rows) string { return wrote(g.CoveragePost(ctx)) },
		"KeepCoveragePost": func(g *Group, r rows) string { return wrote(nil, g.KeepCoveragePost(ctx, "5")) },
		"ClaimCoveragePost": func(g *Group, r rows) string {
			p, mine, err := g.ClaimCoveragePost(ctx, "sum")
			return wrote(p, err) + fmt.Sprint(mine)
		},
		"CompleteCoveragePost": func(g *Group, r rows) string {
			return wrote(nil, g.CompleteCoveragePost(ctx, CoveragePost{Channel: "5"}, "7", "sum"))
		},
		"SetChoices":  func(g *Group, r rows) string { return wrote(nil, g.SetChoices(ctx, Member{ID: r.member}, Choices{})) },
		"Mentionable": func(g *Group, r rows) string { m, err := g.Mentionable(ctx); return wrote(len(m), err) },
		"NoteAsked": func(g *Group, r rows) string {
			return wrote(nil, g.NoteAsked(ctx, Member{ID: r.member}, combination(r), today)) +
				wrote(nil, g.NoteAsked(ctx, osier, orrickOn27(), today))
		},
		"ForgetAsked": func(g *Group, r rows) string { return wrote(nil, g.ForgetAsked(ctx, "2027-12-01")) },
		"Followers": func(g *Group, r rows) string {
			return wrote(g.Followers(ctx, combination(r), "2026-01-01")) +
				wrote(g.Followers(ctx, orrickOn27(), "2026-01-01"))
		},
		"Unaware": func(g *Group, r rows) string {
			change := VerdictChange{Combination: orrickOn27(), At: stopped}
			text := wrote(g.Unaware(ctx, change, "2026-01-01"))
			change.Combination = combination(r)
			return text + wrote(g.Unaware(ctx, change, "2026-01-01"))
		},
		"PromptSpan": func(g *Group, r rows) string {
			since, until, err := g.PromptSpan(ctx, "2026-W40", stopped)
			next, _, nextErr := g.PromptSpan(ctx, "2026-W48", stopped)
			return wrote(since, err) + wrote(until, nil) + wrote(next, nextErr)
		},
		"TakeOn": func(g *Group, r rows) string {
			return wrote(g.TakeOn(ctx, Member{ID: r.member}, combination(r), "")) +
				wrote(g.TakeOn(ctx, osier, orrickOn27(), ""))
		},
		"GiveUp":      func(g *Group, r rows) string { return wrote(g.GiveUp(ctx, osier, r.claim)) },
		"Claims":      func(g *Group, r rows) string { return wrote(g.Claims(ctx)) },
		"DueClaims":   func(g *Group, r rows) string { return wrote(g.DueClaims(ctx, today)) },
		"LapseClaims": func(g *Group, r rows) string { return wrote(g.LapseClaims(ctx, "2027-01-01")) },
		"Closed":      func(g *Group, r rows) string { return wrote(g.Closed(ctx, "2026-01-01")) },
		"PutAside": func(g *Group, r rows) string {
			return wrote(g.PutAside(ctx, BoxItem{Member: Member{ID: r.member}, Combination: combination(r),
				PutOn: today})) +
				wrote(g.PutAside(ctx, BoxItem{Member: osier, Combination: orrickOn27(), RequestKey: "the same item"}))
		},
		"Box":          func(g *Group, r rows) string { return wrote(g.Box(ctx, 0)) + wrote(g.Box(ctx, r.member)) },
		"TakeOut":      func(g *Group, r rows) string { return wrote(g.TakeOut(ctx, r.item, osier)) },
		"BoxProposals": func(g *Group, r rows) string { return wrote(g.BoxProposals(ctx, today)) },
		"LogBatch": func(g *Group, r rows) string {
			return outcomes(g.LogBatch(ctx, Member{ID: r.member}, "new",
				[]BoxResult{{Number: 2, ItemID: r.item, Test: shown(4)}})) +
				outcomes(g.LogBatch(ctx, osier, "newer", []BoxResult{{Number: 2, Test: shown(4)}})) +
				outcomes(g.LogBatch(ctx, osier, "the same batch", []BoxResult{{Number: 2, Test: shown(4)}}))
		},
		"OpenWatch": func(g *Group, r rows) string { return wrote(g.OpenWatch(ctx, Member{ID: r.member})) },
		"Watch": func(g *Group, r rows) string {
			return wrote(g.Watch(ctx, r.watch, osier)) + wrote(g.Watch(ctx, 1, Member{ID: r.member}))
		},
		"Session": func(g *Group, r rows) string {
			return wrote(g.Session(ctx, Watch{Member: Member{ID: r.member}, SessionAt: stopped}))
		},
		"WatchNext": func(g *Group, r rows) string {
			return wrote(g.WatchNext(ctx, Watch{Member: osier, Item: BoxItem{ID: r.item},
				SessionAt: stopped.Add(time.Hour)}))
		},
		"PlungerBack": func(g *Group, r rows) string { return wrote(g.PlungerBack(ctx, r.watch, osier, stopped)) },
		"LogWatch": func(g *Group, r rows) string {
			return wrote(g.LogWatch(ctx, r.watch, osier, shown(4))) + wrote(g.LogWatch(ctx, 1, Member{ID: r.member},
				shown(4)))
		},
		"EndWatch": func(g *Group, r rows) string { return wrote(g.EndWatch(ctx, r.watch, osier, WatchBlocked)) },
		"EndSession": func(g *Group, r rows) string {
			return wrote(nil, g.EndSession(ctx, Watch{Member: Member{ID: r.member}, SessionAt: stopped}))
		},
		"ClaimPrompt": func(g *Group, r rows) string {
			return claimed(g.ClaimPrompt(ctx, "2026-W40")) + claimed(g.ClaimPrompt(ctx, "2026-W48"))
		},
		"ClaimNotice": func(g *Group, r rows) string {
			return claimed(g.ClaimNotice(ctx, BoxProposed, "the same key")) +
				claimed(g.ClaimNotice(ctx, VerdictNews, "the same key"))
		},
		"CompleteNotice": func(g *Group, r rows) string {
			n, _, err := g.ClaimNotice(ctx, ClaimReminder, fmt.Sprint(r.claim))
			return wrote(nil, err) + wrote(nil, g.CompleteNotice(ctx, n, "7"))
		},
		"RetryNotice": func(g *Group, _ rows) string {
			return claimed(g.RetryNotice(ctx, BoxProposed, "the same key")) +
				claimed(g.RetryNotice(ctx, VerdictNews, "the same key"))
		},
		"ReleaseNotice": func(g *Group, r rows) string {
			n, _, err := g.ClaimNotice(ctx, VerdictNews, "7")
			return wrote(nil, err) + wrote(nil, g.ReleaseNotice(ctx, n)) + claimed(g.ClaimNotice(ctx, VerdictNews, "7"))
		},
		"Untested":       func(g *Group, r rows) string { return openly(g.Untested(ctx, today)) },
		"BringUpToDate":  func(g *Group, r rows) string { return wrote(nil, g.BringUpToDate(ctx)) },
		"VerdictChanges": func(g *Group, r rows) string { return wrote(g.VerdictChanges(ctx, time.Time{})) },
		"Hold": func(g *Group, r rows) string {
			return wrote(g.Hold(ctx, Member{ID: r.member}, []StockItem{{Combination: combination(r)}})) +
				wrote(g.Hold(ctx, osier, []StockItem{{Combination: trade.Combination{Product: trade.Product{Name: "Pellow A"}, Instrument: needle(30, 13)}}}))
		},
		"SimilarProducts": func(g *Group, r rows) string {
			return wrote(g.SimilarProducts(ctx, "orick mid")) + wrote(g.SimilarProducts(ctx, "only X"))
		},
		"AddAlias": func(g *Group, r rows) string {
			return wrote(g.AddAlias(ctx, r.product, "fresh", osier)) + wrote(g.AddAlias(ctx, r.merged, "only B", osier))
		},
		"RenameProduct": func(g *Group, r rows) string { return wrote(g.RenameProduct(ctx, r.product, "only B", osier, "why")) },
		"SetClass":      func(g *Group, r rows) string { return wrote(g.SetClass(ctx, r.product, calc.CaHAPaste, osier, "why")) },
		"MergeProducts": func(g *Group, r rows) string {
			into := must(g.Product(ctx, "Pellow A"))(t).ID
			return wrote(g.MergeProducts(ctx, r.product, into, osier, "why")) +
				wrote(g.MergeProducts(ctx, into, r.merged, osier, "why"))
		},
		"LookAtSetup": func(g *Group, r rows) string {
			return wrote(g.LookAtSetup(ctx, combination(r), osier)) + wrote(g.LookAtSetup(ctx, orrickOn27(), osier)) +
				wrote(g.LookAtSetup(ctx, orrickOn27(), Member{ID: r.member}))
		},
		"CheckTest": func(g *Group, r rows) string {
			return wrote(g.CheckTest(ctx, r.test, osier)) + wrote(g.CheckTest(ctx, r.test, Member{ID: r.member}))
		},
		"Flagged":      func(g *Group, r rows) string { return flaggedly(g.Flagged(ctx)) },
		"Testers":      func(g *Group, r rows) string { return wrote(g.Testers(ctx)) },
		"LearnSpreads": func(g *Group, r rows) string { return learnedly(g.LearnSpreads(ctx)) },
		"LearnSpreadsNow": func(g *Group, r rows) string {
			return learnedly(g.LearnSpreadsNow(ctx)) + learnedly(g.LearnSpreadsNow(ctx))
		},
		"SpreadInForce": func(g *Group, r rows) string { return wrote(g.SpreadInForce(ctx)) },
		"Spread":        func(g *Group, r rows) string { return spreadly(g.Spread(ctx)) },
		"Changes": func(g *Group, r rows) string {
			return wrote(g.Changes(ctx, ChangeFilter{})) + wrote(g.Changes(ctx,
				ChangeFilter{ProductID: r.product, TestID: r.test}))
		},
	}
}

// benchShown writes down what a community shows about the bench.
func benchShown(t *testing.T, g *Group) string {
	t.Helper()
	ctx := t.Context()
	var text strings.Builder
	for _, part := range []string{
		wrote(g.Claims(ctx)), wrote(g.Closed(ctx, "2026-01-01")), wrote(g.Box(ctx, 0)),
		openly(g.Untested(ctx, "2026-11-25")),
		wrote(g.VerdictChanges(ctx, time.Time{})), flaggedly(g.Flagged(ctx)), wrote(g.Changes(ctx, ChangeFilter{})),
		wrote(g.Followers(ctx, orrickOn27(), "2026-01-01")), wrote(g.Choices(ctx, Member{Ref: "osier"})),
		spreadly(g.Spread(ctx)),
	} {
		text.WriteString(rowNumbers.ReplaceAllString(part, ""))
	}
	return text.String()
}
