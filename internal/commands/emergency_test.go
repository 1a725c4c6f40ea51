package commands

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// Messages as they are typed in a hurry. What they tell of is a practitioner's reading.
var (
	harmTold = []string{"lip gone white after orrick mid 30g", "whole cheek mottled and cold, orrick mid 27g 13mm",
		"she cant see out of her left eye", "ocluded i think, tamsel soft 27g 13 mm how long hold"}
	bloodTold = []string{"got blood back after 3 s with orrick mid 27g 13mm can i inject", "flashback, now what",
		"blood in the hub do i carry on"}
)

// wantDirection fails the test unless the card is the direction and nothing else.
func wantDirection(t *testing.T, scene string, card Card, direction string) {
	t.Helper()
	if card.Title != direction || !card.Urgent {
		t.Errorf("%s: the first line is %q", scene, card.Title)
	}
	if card.Verdict != "" || len(card.Facts) != 1 || card.Facts[0].Text != noGuide || card.Refused || card.Failed ||
		card.Untested {
		t.Errorf("%s: more is said than the direction:\n%s", scene, card.Text())
	}
	if len(card.Choices)+len(card.Warnings)+len(card.Sources)+len(card.Actions)+len(card.Files)+len(card.Links)+
		len(card.Caveats) > 0 || card.Picture != nil {
		t.Errorf("%s: something stands beside the direction:\n%s", scene, card.Text())
	}
	encoded, err := json.Marshal(card.Figures)
	if err != nil || !strings.HasPrefix(string(encoded), `{"state":"urgent","direction":"`+direction) ||
		strings.ContainsAny(strings.ReplaceAll(string(encoded), card.Address, ""), "0123456789") {
		t.Errorf("%s: as figures %s, %v", scene, encoded, err)
	}
}

// waysIn are the ways in which words can reach a command.
func waysIn(words string, asker Asker) map[string]Request {
	return map[string]Request{
		"a line":     Typed(words, asker),
		"hold, text": {Command: holdName, Text: words, Asker: asker},
		"hold, an option": {Command: holdName, Asker: asker,
			Values: map[string]string{productOption: words, instrumentOption: "27G 13 mm needle"}},
		"why, text":    {Command: whyName, Text: words, Asker: asker},
		"tests, typed": Typed("/record tests "+words, asker),
		"log, an option": {Command: logName, Asker: asker,
			Values: map[string]string{productOption: "Orrick Mid", instrumentOption: "27G 13 mm needle", "seconds": "7",
				"note": words}},
		"log, the form":           {Command: logName, Asker: asker, Filled: map[string]string{"product": "Orrick Mid", "note": words}},
		"stock, text":             {Command: stockName, Text: words, Asker: asker},
		"take, typed":             Typed("take "+words, asker),
		"help, typed":             Typed("/holdbench help "+words, asker),
		"settings, trainers' own": {Command: settingsName, Values: map[string]string{"zone": words}, Asker: asker},
		"no command":              {Command: "nosuch", Text: words, Asker: asker},
		"with a date of birth":    {Command: holdName, Text: words + ", dob 14/02/1975", Asker: asker},
		"longer than a line may be": {Command: holdName, Asker: asker,
			Text: words + ". " + strings.Repeat("please ", maxText)},
	}
}

func TestEmergencyIsHeardFirstWhateverTheWayIn(t *testing.T) {
	env := demoEnv(t)
	for direction, told := range map[string][]string{directionHarm: harmTold, directionBlood: bloodTold} {
		for _, words := range told {
			for _, asker := range []Asker{askingMember, askingTrainer, askingOutsider, {}} {
				for way, req := range waysIn(words, asker) {
					wantDirection(t, way+": "+words, Answer(t.Context(), env, req), direction)
				}
			}
			if words != "flashback, now what" { // behind the word log it is the result of a test
				wantDirection(t, "log, typed: "+words, says(t, env, askingMember, "log "+words), direction)
			}
		}
	}
}

func TestEmergencyNeedsNoStoreAndNoTime(t *testing.T) {
	env := demoEnv(t)
	ended, stop := context.WithCancel(t.Context())
	stop()
	for scene, e := range map[string]*Env{"a store that does not answer": env,
		"no community": {Log: env.Log, Conversations: new(Conversations)}} {
		e.Now = stopped
		wantDirection(t, scene, Answer(ended, e, Typed(harmTold[0], askingMember)), directionHarm)
	}
}

func TestTheGroupsProtocolIsTheSecondLine(t *testing.T) {
	env := demoEnv(t)
	const link = "https://example.org/protocols/occlusion-of-a-vessel-step-by-step-for-the-whole-of-our-circle?version=2"
	err := env.Group.UpdateSettings(t.Context(), func(s *knowledge.Settings) error { s.ProtocolLink = link; return nil })
	if err != nil {
		t.Fatal(err)
	}
	for _, words := range []string{harmTold[0], bloodTold[0]} {
		card := says(t, env, askingMember, words)
		if lines := strings.Split(card.Text(), "\n"); lines[1] != link {
			t.Errorf("the second line is %q", lines[1])
		}
		wantDirection(t, words, card, card.Title)
	}
}

// A turn after an emergency that goes on about it gets the same for ten minutes,
// from the same member at the same place.
func TestFurtherTurnAfterAnEmergencyGetsTheSame(t *testing.T) {
	env := demoEnv(t)
	now := stopped()
	env.Now, env.Conversations = func() time.Time { return now }, new(Conversations)
	at := func(place string, asker Asker, line string) Card {
		req := Typed(line, asker)
		req.Place = place
		return Answer(t.Context(), env, req)
	}
	for direction, words := range map[string]string{directionHarm: harmTold[0], directionBlood: bloodTold[0]} {
		at("1", askingMember, words)
		for _, more := range []string{"what do i do", "help", "and now?", "HELP!!"} {
			now = now.Add(4 * time.Minute) // each turn counts anew
			wantDirection(t, more, at("1", askingMember, more), direction)
		}
		for scene, card := range map[string]Card{"another member": at("1", askingTrainer, "what do i do"),
			"another place": at("2", askingMember, "what do i do")} {
			if card.Urgent {
				t.Errorf("%s is told: %s", scene, card.Text())
			}
		}
		if card := at("1", askingMember, "tamsel soft 27g 13mm"); card.Urgent {
			t.Errorf("a question about a hold gets %s", card.Title)
		}
		at("1", askingMember, words)
		now = now.Add(rememberedFor)
		if card := at("1", askingMember, "what do i do"); card.Urgent {
			t.Errorf("after ten minutes it is %s", card.Title)
		}
	}
}

// Bench talk that has the words of an emergency in it is answered as ever.
func TestBenchTalkIsNoEmergency(t *testing.T) {
	env := demoEnv(t)
	for _, line := range []string{"orrick mid 27g 13mm cold milk", "what is flashback", "log orrick mid 27g 13mm flashback at 4 s",
		"/group gels", "white hub 30g 13mm needle tamsel soft"} {
		if card := says(t, env, askingMember, line); card.Urgent {
			t.Errorf("%q is taken for an emergency", line)
		}
	}
	names, err := Suggest(t.Context(), env, Request{Command: holdName, Asker: askingMember}, productOption, harmTold[0])
	if err != nil || len(names) > 0 {
		t.Errorf("an emergency is offered %v, %v", names, err)
	}
}
