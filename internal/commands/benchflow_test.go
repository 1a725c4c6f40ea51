package commands

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

func TestAStockMessageIsTakenApart(t *testing.T) {
	cases := []struct {
		text string
		want []saidItem
	}{
		{"Dunmere Deep 27G 13 mm and 25G 38 mm cannula", []saidItem{{"Dunmere Deep", "27G 13 mm"},
			{"Dunmere Deep", "25G 38 mm cannula"}}},
		{"Orrick Mid with 30g13, Pellow Lip on cannula 25G 38 mm", []saidItem{{"Orrick Mid", "30g13"},
			{"Pellow Lip", "cannula 25G 38 mm"}}},
		{"Orrick Mid; Pellow Lip 30G 8 mm needle, fixed-needle 0.5 mL", []saidItem{{"Orrick Mid", ""},
			{"Pellow Lip", "30G 8 mm needle, fixed-needle 0.5 mL"}}},
		{"Orrick Mid 27G 13 mm 30G 13 mm", []saidItem{{"Orrick Mid", "27G 13 mm"}, {"Orrick Mid", "30G 13 mm"}}},
		{"Orrick Mid, 27G 13 mm needle, supplied syringe",
			[]saidItem{{"Orrick Mid", "27G 13 mm needle, supplied syringe"}}},
		{"Orrick Mid", []saidItem{{"Orrick Mid", ""}}},
		{"27G 13 mm", []saidItem{{"", "27G 13 mm"}}},
		{"", nil},
	}
	for _, c := range cases {
		got, err := saidStock(&Call{text: c.text})
		if err != nil || fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%q: %q, want %q, %v", c.text, got, c.want, err)
		}
	}
}

func TestABatchIsTakenApart(t *testing.T) {
	cases := []struct{ text, want, stray string }{
		{"B-1 3.4, B-2 none, B-3 0:12.40-0:17.13", "1[3.4] 2[none] 3[0:12.40-0:17.13]", ""},
		{"b1 3.4 b 2: none b-3=2,2", "1[3.4] 2[none] 3[2,2]", ""},
		{"B-1 3.4, 4.1 and none; B-2 ", "1[3.4|4.1|none] 2[]", ""},
		{"hello B-1 3.4", "1[3.4]", "hello"},
		{"3.4", "", "3.4"},
		{"", "", ""},
	}
	for _, c := range cases {
		typed, stray := logline.ReadSession(c.text)
		var got []string
		for i, one := range typed {
			if i > 0 && typed[i-1].Number == one.Number {
				got[len(got)-1] = strings.TrimSuffix(got[len(got)-1], "]") + "|" + one.Typed + "]"
				continue
			}
			got = append(got, fmt.Sprintf("%d[%s]", one.Number, one.Typed))
		}
		if strings.Join(got, " ") != c.want || stray != c.stray {
			t.Errorf("%q: %s, stray %q", c.text, got, stray)
		}
	}
}

func TestADayToComeIsRead(t *testing.T) {
	tuesday := stopped() // 2026-11-24
	for typed, want := range map[string]string{
		"": "", "today": "2026-11-24", "Tomorrow": "2026-11-25", "friday": "2026-11-27", "FRI": "2026-11-27",
		"tuesday": "2026-12-01", "2026-12-24": "2026-12-24", "by friday": "2026-11-27",
		"next friday": "2026-11-27", "thurs": "2026-11-26",
		"in 2 weeks": "2026-12-08", "in a week": "2026-12-01", "2 weeks": "2026-12-08",
		"in three days": "2026-11-27", "10d": "2026-12-04",
		"in a month": "2026-12-24", "next week": "2026-12-01", "a week from today": "2026-12-01",
		"3 december": "2026-12-03", "3rd of Dec": "2026-12-03", "dec 3": "2026-12-03", "4 january": "2027-01-04",
		"24 nov": "2026-11-24", "weds": "2026-11-25",
	} {
		got, err := comingDay(typed, tuesday)
		if err != nil || got != want {
			t.Errorf("%q: %q, %v, want %q", typed, got, err, want)
		}
	}
	for _, typed := range []string{"fr", "24.12.2026", "03/12", "2026-13-01", "never", "in weeks", "31 june",
		"0 may", "week", "by", "in 2", "last friday"} {
		if got, err := comingDay(typed, tuesday); err == nil {
			t.Errorf("%q is read as %q", typed, got)
		}
	}
}

func TestABatchThatComesTwiceIsLoggedOnce(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	says(t, env, askingMember, "/bench aside orrick mid 31G 8 mm")
	req := Typed("/bench results B-1 3.4, 4.1, B-9 2.2", askingMember)
	req.Key = "message 17"
	before := allTests(t, env)
	first := Answer(ctx, env, req)
	says(t, env, askingMember, "/bench aside dunmere deep 27G 13 mm") // B-1 rests: it takes B-2
	second := Answer(ctx, env, req)
	if added := allTests(t, env) - before; added != 2 {
		t.Errorf("%d tests added", added)
	}
	wants(t, first.Text(), "3.4 s (test 145), 4.1 s (test 146)", "B-9: nothing waits there")
	wants(t, second.Text(), "3.4 s (test 145), 4.1 s (test 146)", "B-9: nothing waits there")
	wants(t, says(t, env, askingMember, "/bench box").Text(), "B-2: Dunmere Deep")
	req.Key = "message 18" // the same words as a new message
	third := Answer(ctx, env, req)
	wants(t, third.Text(), "B-1: logged already, not again: 3.4 s (test 145), 4.1 s (test 146)")
	if added := allTests(t, env) - before; added != 2 {
		t.Errorf("%d tests added by the third", added)
	}
}

func allTests(t *testing.T, env *Env) int {
	t.Helper()
	tests, err := env.Group.Tests(context.Background(), knowledge.TestFilter{})
	if err != nil {
		t.Fatal(err)
	}
	return len(tests)
}

func TestARefusedStockMessageStoresNothing(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	count := func() (products, items int) {
		p, errP := env.Group.Products(ctx)
		s, errS := env.Group.Stock(ctx, knowledge.StockFilter{})
		if errP != nil || errS != nil {
			t.Fatal(errP, errS)
		}
		return len(p), len(s)
	}
	products, items := count()
	for _, line := range []string{
		"/stock add Orrick Mid 27G 13 mm and 99G 4 mm",
		`/stock add Brackley Sheer 27G 13 mm and 99G 4 mm class:"fine HA"`,
		`/stock add Brackley Sheer 27G 13 mm; Alder One 27G 13 mm`, // asked about first
		`/stock add Brackley Sheer 27G 13 mm; Alder One 99G 4 mm class:"fine HA"`,
		`/stock add Brackley Sheer 27G 13 mm class:"nonesuch"`,
		`/stock add Brackley Sheer 27G 13 mm same:"nonesuch"`,
		"/stock add Orrick Mid " + strings.Repeat("27G 13 mm, ", 60),
		"/stock add Brackley Sheer 27G 13 mm", // asked about first
		"/stock remove Orrick Mid 27G 38 mm cannula, Pellow Lip",
	} {
		says(t, env, askingMember, line)
		if p, s := count(); p != products || s != items {
			t.Errorf("%s: %d products, %d items in stock, were %d and %d", line, p, s, products, items)
		}
	}
}

func TestWhatIsAskedIsNotedOnlyWhereAgreed(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	c, err := pinned(must(env.Group.Vocabulary(ctx))(t), pin(evidenceOf(t, env, "Orrick Mid", "30G 13 mm needle").Combination))
	if err != nil {
		t.Fatal(err)
	}
	followers := func() int {
		m, err := env.Group.Followers(ctx, c, "2026-01-01")
		if err != nil {
			t.Fatal(err)
		}
		return len(m)
	}
	says(t, env, askingMember, "orrick mid 30G 13 mm")
	says(t, env, askingMember, "/me choices verdicts:yes")
	if n := followers(); n != 0 {
		t.Errorf("%d follow what was asked before they agreed", n)
	}
	says(t, env, askingMember, "orrick mid 30G 13 mm")
	if n := followers(); n != 1 {
		t.Errorf("%d follow, want the one who agreed", n)
	}
	says(t, env, askingMember, "/me choices verdicts:no")
	if n := followers(); n != 0 {
		t.Errorf("%d are told against their will", n)
	}
}

// evidenceOf is what the group knows of a gel on a needle, supplied syringe.
func evidenceOf(t *testing.T, env *Env, gel, needle string) *knowledge.Evidence {
	t.Helper()
	ctx := context.Background()
	p, errP := env.Group.Product(ctx, gel)
	i, errI := trade.ReadInstrument(needle)
	if errP != nil || errI != nil {
		t.Fatal(errP, errI)
	}
	e, err := env.Group.Evidence(ctx, trade.Combination{Product: p, Instrument: i}, calc.DefaultPull)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestTheBenchFormComesFilledWithWhatWaits(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	says(t, env, askingMember, "/bench aside orrick mid 31G 8 mm")
	says(t, env, askingMember, "/bench aside dunmere deep 27G 13 mm")
	form, card := Open(ctx, env, Request{Command: batchName, Asker: askingMember})
	if form == nil {
		t.Fatal(card.Text())
	}
	if got, want := form.Filled[resultsField], "B-1 \nB-2 \n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	filled := map[string]string{resultsField: "B-1 3.4\nB-2 none", benchField: form.Filled[benchField]}
	logged := Answer(ctx, env, Request{Command: batchName, Asker: askingMember, Filled: filled})
	wants(t, logged.Text(), "Bench session: 2 tests logged", "3.4 s (test 145)", "none in 30 s (test 146)")
}

func TestEveryButtonOfTheBenchRuns(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	for _, line := range []string{"/totest list", "/totest take orrick mid 31G 8 mm", "/totest take", "/totest release",
		"/bench aside orrick mid 31G 8 mm", "/bench box", "/stock add Orrick Mid 27G 13 mm", "/me choices",
		"/bench sheet"} {
		card := says(t, env, askingMember, line)
		for _, action := range card.Actions {
			action.Request.Asker, action.Request.At = askingMember, stopped() // as in a chat
			if WantsForm(action.Request) {
				if form, refused := Open(ctx, env, action.Request); form == nil {
					t.Errorf("%s, %s: %s", line, action.Label, refused.Text())
				}
				continue
			}
			if got := Answer(ctx, env, action.Request); got.Failed || got.Refused {
				t.Errorf("%s, %s: %s", line, action.Label, got.Text())
			}
		}
	}
}

func TestASheetOfManySyringesStaysShort(t *testing.T) {
	env := demoEnv(t)
	for range 15 {
		says(t, env, askingMember, "/bench aside orrick mid 31G 8 mm")
	}
	start := time.Now()
	card := says(t, env, askingMember, "/bench sheet")
	wants(t, card.Text(), "Run sheet: 15 syringes", "and 3 more, on the next sheet")
	if took := time.Since(start); took > 3*time.Second {
		t.Errorf("took %v", took)
	}
}

// Six syringes with three filmed results each go into the form.
func TestALongSessionFitsTheForm(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	var lines []string
	for i := range 6 {
		says(t, env, askingMember, "/bench aside orrick mid 31G 8 mm")
		lines = append(lines, fmt.Sprintf("B-%d 0:12.40-0:17.13, 1:03.20-1:09.87, none (gel ran out before the mark)",
			i+1))
	}
	results := strings.Join(lines, "\n")
	form, _ := Open(ctx, env, Request{Command: batchName, Asker: askingMember,
		Filled: map[string]string{resultsField: results}})
	if form == nil || form.Filled[resultsField] != results {
		t.Fatalf("the form cuts off %d characters", len(results))
	}
	logged := Answer(ctx, env, Request{Command: batchName, Asker: askingMember, Filled: form.Filled})
	wants(t, logged.Text(), "Bench session: 18 tests logged")
}

// The stock form opens where nothing is said, and from the button of the list.
func TestTheStockFormNotesWhatIsHeld(t *testing.T) {
	env, ctx := demoEnv(t), context.Background()
	if !WantsForm(Request{Command: stockName, Asker: askingMember}) ||
		WantsForm(Typed("/stock add Orrick Mid", askingMember)) {
		t.Error("the form opens where something is said, or not where nothing is")
	}
	button := says(t, env, askingMember, "/stock").Actions[0].Request
	button.Asker = askingMember
	if !WantsForm(button) {
		t.Fatalf("%s opens no form", button.Line())
	}
	form, card := Open(ctx, env, button)
	if form == nil {
		t.Fatal(card.Text())
	}
	filled := map[string]string{productOption: "dunmere deep", instrumentOption: "27G 13 mm\n25G 38 mm cannula"}
	noted := Answer(ctx, env, Request{Command: stockName, Asker: askingMember, Filled: filled})
	wants(t, noted.Text(), "In your stock: Dunmere Deep, 27G 13 mm needle; Dunmere Deep, 25G 38 mm cannula")
	filled = map[string]string{productOption: "Brackley Sheer", instrumentOption: "30G 13 mm"}
	asked := Answer(ctx, env, Request{Command: stockName, Asker: askingMember, Filled: filled})
	wants(t, asked.Text(), "“Brackley Sheer” is not on the group's list. What is it?")
	wants(t, Answer(ctx, env, asked.Choices[0].Request).Text(), "In your stock: Brackley Sheer, 30G 13 mm needle",
		"as uncrosslinked HA")
}
