package discord

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"holdbench/internal/commands"
)

// Whether options are read from the text matters only where there is one.
func sameRequest(a, b commands.Request) bool {
	return a.Command == b.Command && a.Text == b.Text && a.About == b.About && a.Key == b.Key && a.Link == b.Link &&
		(a.Text == "" || a.Typed == b.Typed) &&
		maps.Equal(a.Values, b.Values) && maps.Equal(a.Filled, b.Filled)
}

func TestARequestComesBackFromAButton(t *testing.T) {
	b := looseBot(t)
	at := place{server: "10"}
	cases := map[string]commands.Request{
		"a pin":  {Command: "record tests", About: "12/30G 13 mm needle/3"},
		"a text": {Command: "hold", Text: "orrick mid & 100% <odd> text? a=b+c"},
		"options": {Command: "record withdraw",
			Values: map[string]string{"test": "145", "reason": "100 % = all + more & ~"}},
		"typed":        commands.Typed("/record tests orrick product:x", commands.Asker{}),
		"a link":       {Command: "log", Link: postBase + "1111111111111111111/2222222222222222222/3333333333333333333"},
		"another link": {Command: "log", Link: "https://x.example/a?b=c&d"},
		"a key":        {Command: "log", Key: "1234567890", Values: map[string]string{"product": "Orrick Mid"}},
		"a form":       {Command: "log", Filled: map[string]string{"gel": strings.Repeat("x", 90)}},
		"a long text":  {Command: "hold", Text: strings.Repeat("long ", 300)},
	}
	for scene, want := range cases {
		carried := b.carry(at, want, maxCustomID-1)
		if length(carried) > maxCustomID-1 {
			t.Errorf("%s: %d characters", scene, length(carried))
		}
		got, server, err := b.carried("10", carried)
		if want.Values == nil && got.Values != nil && len(got.Values) == 0 {
			want.Values = got.Values
		}
		if err != nil || !sameRequest(got, want) {
			t.Errorf("%s: %+v from %s, %v; want %+v", scene, got, carried, err, want)
		}
		if server != "" && server != "10" {
			t.Errorf("%s: server %q", scene, server)
		}
	}
}

func TestALinkFitsAForm(t *testing.T) {
	line, ok := pack(commands.Request{Command: "log", Link: postBase +
		"1111111111111111111/2222222222222222222/3333333333333333333"}, "")
	if !ok || length(line) > maxCustomID-2 {
		t.Errorf("%d characters: %s", length(line), line)
	}
}

func TestAnyTextComesBack(t *testing.T) {
	for seed := range uint64(500) {
		rng := rand.New(rand.NewPCG(seed, 2))
		want := commands.Request{Command: "hold", Text: nasty(rng), About: nasty(rng), Key: nasty(rng),
			Values: map[string]string{"product": "x" + nasty(rng)}}
		line, ok := pack(want, "")
		got, _, err := unpack(line)
		want = want.Short()
		if want.About != "" {
			want.Values = map[string]string{}
		}
		if !ok || err != nil || !sameRequest(got, want) {
			t.Fatalf("seed %d: %+v, %v; want %+v", seed, got, err, want)
		}
	}
}

func TestAButtonOfOneServerIsNotKnownInAnother(t *testing.T) {
	b := looseBot(t)
	long := commands.Request{Command: "hold", Text: strings.Repeat("long ", 300)}
	kept := b.carry(place{server: "10"}, long, maxCustomID)
	if _, _, err := b.carried("11", kept); err == nil {
		t.Error("a kept request is known in another server")
	}
	short := b.carry(place{server: "10"}, commands.Request{Command: "hold", About: "1/2/3"}, maxCustomID)
	if req, server, err := b.carried("10", short); err != nil || server != "10" || req.About != "1/2/3" {
		t.Errorf("in its own server: %+v of %q, %v", req, server, err)
	}
	for _, elsewhere := range []string{"11", ""} {
		if _, _, err := b.carried(elsewhere, short); err == nil {
			t.Errorf("a short request is known in %q", elsewhere)
		}
	}
	direct := b.carry(place{server: "10", direct: true}, commands.Request{Command: "hold", About: "1/2/3"}, maxCustomID)
	if _, server, err := b.carried("", direct); err != nil || server != "10" {
		t.Errorf("server %q, %v", server, err)
	}
	if _, _, err := b.carried("11", direct); err == nil {
		t.Error("a request about one group is asked of another")
	}
}

func TestWhatIsNoRequestIsRefused(t *testing.T) {
	b := looseBot(t)
	for _, text := range []string{"", "x", ":", ":hold", ":?A=1", ":hold?x", "~", "~NOBODYKNOWS", "hold?A=1"} {
		if _, _, err := b.carried("1", text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

func FuzzUnpack(f *testing.F) {
	for _, line := range []string{"hold?A=1/2/3", "log?L=~1/2/3&H=5", "x?", "?", "hold?T=%25%2", "0?=", "0?a=",
		"0?a=1&a=2"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		req, server, err := unpack(line)
		if err != nil {
			return
		}
		again, ok := pack(req, server)
		if !ok {
			t.Fatalf("%q cannot be packed again", line)
		}
		if second, _, err := unpack(again); err != nil || !sameRequest(second, req.Short()) {
			t.Errorf("%q: %+v, %v; want %+v", line, second, err, req)
		}
	})
}

func TestRepliesAreCarriedByAButton(t *testing.T) {
	want := []string{"30 s", "yes"}
	line, ok := pack(commands.Request{Command: "log", Text: "orrick mid 30g 13mm none", Replies: want}, "")
	if got, _, err := unpack(line); !ok || err != nil || !slices.Equal(got.Replies, want) {
		t.Errorf("%q comes back as %+v, %v", line, got, err)
	}
}

func TestANoIsCarriedByAButton(t *testing.T) {
	line, ok := pack(commands.Request{Command: "log", NoPatient: true}, "")
	if got, _, err := unpack(line); !ok || err != nil || !got.NoPatient {
		t.Errorf("%q comes back as %+v, %v", line, got, err)
	}
}
