package commands

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// conversation is what people say one after the other, and what a practitioner would
// expect to hear.
type conversation struct {
	Scene string
	Turns []struct {
		By, Place, Say string
		After          int // minutes since the turn before
		Pick           int // a choice of the answer before, from 1
		Title, State   string
		Has, Not       []string
		Words          int  // the most that a short reply may have
		Stored         *int // tests logged since the conversation began
	}
}

func TestConversations(t *testing.T) {
	file, err := os.Open("testdata/conversations.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	n, turns := 0, 0
	for lines := bufio.NewScanner(file); lines.Scan(); n++ {
		var c conversation
		if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
			t.Fatalf("%s: %v", lines.Text(), err)
		}
		turns += len(c.Turns)
		if testing.Short() && n%10 > 0 { // one after the other, as few has it
			continue
		}
		t.Run(c.Scene, func(t *testing.T) { c.hold(t) })
	}
	if n < 60 {
		t.Errorf("%d conversations", n)
	}
	t.Logf("%d conversations, %d turns", n, turns)
}

// hold holds the conversation with a store of its own and a clock that the turns move.
func (c conversation) hold(t *testing.T) {
	env := demoEnv(t)
	now := stopped()
	env.Now, env.Conversations = func() time.Time { return now }, new(Conversations)
	before := keptTests(t, env)
	var last Card
	for _, turn := range c.Turns {
		now = now.Add(time.Duration(turn.After) * time.Minute)
		req := Typed(turn.Say, speakers[turn.By])
		if turn.Pick > 0 && turn.Pick <= len(last.Choices) {
			req = last.Choices[turn.Pick-1].Request
			req.Asker = speakers[turn.By]
		}
		req.Place = "place " + turn.Place
		last = Answer(context.Background(), env, req)
		text := last.Text()
		if !strings.HasPrefix(last.Title, turn.Title) {
			t.Errorf("%q: the title is %q, want %q", turn.Say, last.Title, turn.Title)
		}
		flat := strings.Join(strings.Fields(strings.Split(text, "\n  – ")[0]), " ")
		for _, part := range turn.Has {
			if !strings.Contains(flat, part) {
				t.Errorf("%q: %q is not in\n%s", turn.Say, part, flat)
			}
		}
		for _, part := range turn.Not {
			if strings.Contains(flat, part) {
				t.Errorf("%q: %q is in\n%s", turn.Say, part, flat)
			}
		}
		if got := stateOf(t, last); turn.State != "" && got != turn.State {
			t.Errorf("%q: the state is %q, want %q:\n%s", turn.Say, got, turn.State, flat)
		}
		if turn.Words > 0 && (len(strings.Fields(last.Title)) > turn.Words || len(last.Actions) == 0 || last.Refused) {
			t.Errorf("%q: no short reply with a way on:\n%s", turn.Say, text)
		}
		if turn.Stored != nil {
			if now := keptTests(t, env); now-before != *turn.Stored {
				t.Errorf("%q: %d tests logged, want %d:\n%s", turn.Say, now-before, *turn.Stored, flat)
			}
		}
		if last.Failed {
			t.Errorf("%q failed: %s", turn.Say, text)
		}
	}
}

// speakers are those who take part.
var speakers = map[string]Asker{
	"": askingMember, "outsider": askingOutsider,
	"bea": {Ref: "millbrook", Name: "millbrook", Role: knowledge.MemberRole},
}

// stateOf is the state in a card's figures, "" for none.
func stateOf(t *testing.T, card Card) string {
	t.Helper()
	encoded, err := json.Marshal(card.Figures)
	var f struct{ State string }
	if err != nil || card.Figures != nil && json.Unmarshal(encoded, &f) != nil {
		t.Fatalf("figures %s, %v", encoded, err)
	}
	return f.State
}

func keptTests(t *testing.T, env *Env) int {
	t.Helper()
	tests, err := env.Group.Tests(context.Background(), knowledge.TestFilter{State: knowledge.Kept})
	if err != nil {
		t.Fatal(err)
	}
	return len(tests)
}

func TestConversationsAreBoundedAndForgotten(t *testing.T) {
	now := stopped()
	env := &Env{Now: func() time.Time { return now }, Conversations: new(Conversations)}
	asks := func(ref string) Request { return Request{Place: "here", Asker: Asker{Ref: ref}} }
	for i := range mostRemembered + 10 {
		env.remember(asks("m"+trimNumber(float64(i))), turn{urgent: "harm"})
	}
	if n, size := env.Conversations.kept().Size(); size > mostRemembered || n < mostRemembered/3 {
		t.Errorf("%d are kept, of size %d", n, size)
	}
	latest := asks("m" + trimNumber(mostRemembered+9))
	if env.recall(latest).urgent == "" {
		t.Error("the latest is forgotten")
	}
	env.Conversations.forget(latest.Asker.Ref)
	if env.recall(latest).urgent != "" {
		t.Error("who was erased is remembered")
	}
	for scene, req := range map[string]Request{"nobody": {Place: "here"}, "nowhere": {Asker: Asker{Ref: "x"}}} {
		if env.remember(req, turn{urgent: "harm"}); env.recall(req).urgent != "" {
			t.Errorf("%s is remembered", scene)
		}
	}
	env.remember(latest, turn{combination: trade.Combination{Product: trade.Product{ID: 1}}})
	elsewhere := demoEnv(t)
	elsewhere.Conversations = env.Conversations
	if last := elsewhere.recall(latest); last.combination.Product.ID != 0 {
		t.Errorf("what one community was asked is known in another: %+v", last)
	}
	(&Env{Now: env.Now}).remember(latest, turn{}) // remembers nothing, and does not mind
}
