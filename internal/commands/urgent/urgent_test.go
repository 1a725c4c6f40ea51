package urgent

import (
	"bufio"
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// message is one line as people type it, with what it tells of. The lines are
// invented, the kinds are what a practitioner would say.
type message struct {
	Text string `json:"text"`
	Kind Kind   `json:"kind"`
}

// gels are the names that the messages use.
var gels = []string{"Larnoch Hydra", "Tamsel Fine", "Tamsel Soft", "Pellow Lip", "Pellow Contour", "Orrick Mid",
	"Orrick Firm",
	"Dunmere Deep", "Hesk Paste"}

func messages(t *testing.T, file string) (all []message) {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var m message
		if err := json.Unmarshal(lines.Bytes(), &m); err != nil {
			t.Fatal(err)
		}
		all = append(all, m)
	}
	return all
}

func TestEveryEmergencyIsHeardAndTheBenchIsNot(t *testing.T) {
	for file, least := range map[string]int{"messages.jsonl": 250, "hurried.jsonl": 250, "voices.jsonl": 250,
		"onethumb.jsonl": 120, "mixed.jsonl": 140, "busy.jsonl": 26, "later.jsonl": 48, "company.jsonl": 34} {
		asked, heard := map[Kind]int{}, map[Kind]int{}
		for _, m := range messages(t, file) {
			asked[m.Kind]++
			if got := Hear(m.Text, gels...); got != m.Kind {
				t.Errorf("%q: heard %q, want %q", m.Text, got, m.Kind)
			} else {
				heard[m.Kind]++
			}
		}
		if told := asked[Harm] + asked[Blood]; told < least*2/5 || asked[None] < least/2 {
			t.Errorf("%s: only %v messages", file, asked)
		}
		t.Logf("%s: harm %d of %d, blood %d of %d, neither %d of %d", file, heard[Harm], asked[Harm], heard[Blood],
			asked[Blood], heard[None], asked[None])
	}
}

func TestWhatFollowsAnEmergencyIsStillAboutIt(t *testing.T) {
	for _, text := range []string{"what do i do", "help", "what now", "should i call someone", "and now?",
		"it is getting worse", "please help"} {
		if !GoesOn(text) {
			t.Errorf("%q was not heard to go on", text)
		}
	}
	for _, text := range []string{"", "orrick mid 27g 13mm", "log orrick mid 27g 13mm 3.3", "thanks", "and on 30g?"} {
		if GoesOn(text) {
			t.Errorf("%q was heard to go on", text)
		}
	}
}

func FuzzHear(f *testing.F) {
	f.Add("lips gone white")
	f.Add("cannot see")
	f.Fuzz(func(t *testing.T, text string) { Hear(text); GoesOn(text) })
}

// A text far beyond a message is heard at its beginning and its end, in a moment.
func TestALongTextIsHeardAtBothEnds(t *testing.T) {
	chatter := strings.Repeat("orrick ", 150_000)
	for text, want := range map[string]Kind{
		chatter: None, "lip gone white " + chatter: Harm, chatter + " her lip has gone white": Harm,
	} {
		if got := Hear(text); got != want {
			t.Errorf("%d bytes: heard %q, want %q", len(text), got, want)
		}
	}
	// One word of that length has eight million shorter forms with two letters left out.
	oneWord := strings.ReplaceAll(strangeWords(), " ", "")
	if got := Hear(oneWord + " lip gone white"); got != Harm {
		t.Errorf("behind one long word: heard %q", got)
	}
	if Hear("x"+strings.Repeat("é", mostHeard)) != None {
		t.Error("letters cut in two are heard as something")
	}
}

// A gel may be called what a sign is called, or a part of the body.
func TestTheNameOfAGelIsNoSign(t *testing.T) {
	known := []string{"White Fine", "Coldwater", "Grey Mid", "Pellow Lip", "Cold Lip", "Blue Cheek"}
	for text, want := range map[string]Kind{
		"cheek with white fine 27g 13mm": None, "cheeks, whte fine, 30g": None, "her lip with grey mid 30g": None,
		"coldwater 27g, lip": None, "cold lip 30g 13mm": None, "Cold Lip": None, "pellow lip grey needle": None,
		"blue cheek 27g for a nose": None, "her lip went white after white fine 27g": Harm,
		"grey mid, lip gone grey":            Harm,
		"she has a cold lip and it is white": Harm, "patient has blue cheek": Harm,
		"pellow lip, blood in the hub": Blood,
	} {
		if got := Hear(text, known...); got != want {
			t.Errorf("%q: heard %q, want %q", text, got, want)
		}
	}
	if Hear("cheek is white fine") != Harm {
		t.Error("a name nobody told of hides a sign")
	}
}

// strangeWords are 4 000 letters of words that nobody knows, of 4 to 12 letters each.
func strangeWords() string {
	var b strings.Builder
	for seed := uint32(7); b.Len() < 4000; b.WriteByte(' ') {
		for range 4 + seed>>16%9 {
			seed = seed*1664525 + 1013904223
			b.WriteByte(byte('a' + seed>>20%26))
		}
	}
	return b.String()[:4000]
}

func BenchmarkHearStrangeWords(b *testing.B) {
	text := strangeWords()
	Hear(text)
	for b.Loop() {
		Hear(text, gels...)
	}
}
