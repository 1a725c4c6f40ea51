package discord

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/groups"
)

// looseBot is a Bot that is not connected to anything.
func looseBot(t testing.TB) *Bot {
	t.Helper()
	b, err := New(Settings{Token: "a.token.of.nobody"}, &groups.All{Now: time.Now},
		slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// caveatsOf are the caveats that an answer carries, every one of them.
func caveatsOf(t testing.TB) []string {
	t.Helper()
	card := commands.Answer(context.Background(), &commands.Env{Log: slog.New(slog.DiscardHandler), Now: time.Now},
		commands.Request{Command: "log", Asker: commands.Asker{}})
	all := append([]string{"Untested: this is a calculation, not a test.",
		"On suspicion of an occlusion: stop and follow the local emergency protocol; this tool is no guide to it."},
		card.Caveats...)
	if len(all) < 7 { // those of the bench are one line
		t.Fatalf("only %d caveats", len(all))
	}
	return all
}

// nasty is text as somebody might type it to break a message.
func nasty(rng *rand.Rand) string {
	pieces := []string{
		"**bold**", "__under__", "~~gone~~", "`code`", "```\nblock\n```", "||spoiler||", "[text](https://evil.example)",
		"<@123>", "<@&5>", "@everyone", "@here",
		"<t:0:R>", "</log:1>", "<https://evil.example>", "https://evil.example/x", "# heading", "> quote", "- item",
		"1. item", "\\", "\\*", "-# small",
		"\x00", "\x1b[31m", "\u202e", "\u2028", "\ufeff", "\xff", "🧪", "👩‍🔬", "é", "漢字", "\n\n\n", "\t", "   ",
		":smile:", "Orrick Mid", "27G 13 mm", strings.Repeat("x", 300),
	}
	var b strings.Builder
	for range rng.IntN(40) {
		b.WriteString(pieces[rng.IntN(len(pieces))])
		if rng.IntN(3) == 0 {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// nastyCard is a Card with anything in it, and much of it.
func nastyCard(rng *rand.Rand, caveats []string) commands.Card {
	c := commands.Card{Title: nasty(rng), Verdict: nasty(rng), Untested: rng.IntN(2) == 0, Refused: rng.IntN(4) == 0,
		Failed: rng.IntN(8) == 0, Caveats: caveats}
	for range rng.IntN(60) {
		c.Facts = append(c.Facts, commands.Fact{Label: nasty(rng), Text: nasty(rng)})
	}
	for range rng.IntN(10) {
		c.Warnings, c.Sources = append(c.Warnings, nasty(rng)), append(c.Sources, nasty(rng))
	}
	for range rng.IntN(40) {
		c.Choices = append(c.Choices, commands.Choice{Label: nasty(rng),
			Request: commands.Request{Command: "hold", Text: nasty(rng)}})
	}
	for range rng.IntN(40) {
		c.Actions = append(c.Actions, commands.Action{Label: nasty(rng),
			Request: commands.Request{Command: "record tests", Text: nasty(rng),
				Values: map[string]string{"product": nasty(rng)}}})
	}
	for range rng.IntN(20) {
		c.Links = append(c.Links, commands.Link{Label: nasty(rng), URL: "https://chat.example/" + nasty(rng)})
	}
	return c
}

// The stand-in holds every message to the platform's limits and fails the test
// where one is passed.
func TestEveryMessageIsWithinTheLimitsWhateverTheData(t *testing.T) {
	s := play(t, discordtest.Options{GlobalLimit: discordtest.Off})
	caveats := caveatsOf(t)
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 1))
		card := nastyCard(rng, caveats)
		p := place{server: s.guild.ID, asker: s.ada.ID}
		m := s.bot.message(card, p, string(showKind)+s.bot.carry(p, commands.Request{Command: "hold", Text: nasty(rng)},
			maxCustomID-1))
		if _, err := s.bot.post(t.Context(), s.guild.Channel("general").ID, m); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		posted := s.guild.Channel("general").Messages(s.ada)
		checkShown(t, seed, posted[len(posted)-1], caveats)
	}
}

// checkShown: the caveats whole, nobody called, nothing that hides or leads away.
func checkShown(t *testing.T, seed uint64, m discordtest.Message, caveats []string) {
	t.Helper()
	for _, c := range caveats {
		if !strings.Contains(m.Text(), c) {
			t.Errorf("seed %d: the caveat %q is not shown", seed, c)
		}
	}
	if len(m.Notified) > 0 {
		t.Errorf("seed %d: notifies %v", seed, m.Notified)
	}
	text := m.Embeds[0].Title + "\n" + m.Embeds[0].Description
	for _, sign := range []string{`(^|[^\\])\[text`, `(^|[^\\])<`, `[^\\]://`, "(^|[^\\\\])`", `(^|[^\\])~~`,
		`(^|[^\\])\|\|`, "\x1b", "\u202e"} {
		if found := regexp.MustCompile(sign).FindString(text); found != "" {
			t.Errorf("seed %d: %q works in\n%s", seed, found, text)
		}
	}
}

func TestACardIsCutWhereItIsLeastMissed(t *testing.T) {
	card := commands.Card{Title: "Orrick Mid", Verdict: "HOLD 8 s", Warnings: []string{"One test looks mistyped."},
		Caveats: caveatsOf(t)}
	for i := range 50 {
		card.Facts = append(card.Facts, commands.Fact{Label: fmt.Sprintf("2026-11-%02d somebody with a long name",
			i%30+1), Text: strings.Repeat("24.1 s, video 60 fps, pull 0.1 mL, whole milk, note: ", 3)})
	}
	e := makeEmbed(card)
	wants(t, e.Description, "**HOLD 8 s**", "looks mistyped", "… and ", " more lines", "2026-11-01")
	wants(t, e.Footer.Text, card.Caveats...)
	if n := length(e.Description); n > maxDescription || n < 3000 {
		t.Errorf("%d characters of the %d there are", n, maxDescription)
	}
	if n := length(e.Title + e.Description + e.Footer.Text); n > maxEmbedTotal {
		t.Errorf("%d characters in all", n)
	}
}

func TestTheCaveatsFitTheSmallPrint(t *testing.T) {
	lines := caveatsOf(t)
	if small := smallPrint(lines); strings.Contains(small, "…") || length(small) > maxFooter {
		t.Errorf("cut: %s", small)
	}
}

func TestMembersSignsAreShownNotObeyed(t *testing.T) {
	cases := map[string]string{ // what Discord obeys: practice
		"**bold** _it_ ~~no~~":       `\*\*bold\*\* \_it\_ \~\~no\~\~`,
		"[a](https://x.example)":     `\[a\](https\://x.example)`,
		"<@123> @everyone":           `\<@123\> @everyone`,
		"# heading":                  `\# heading`,
		"- item":                     `\- item`,
		"-# small":                   `\-# small`,
		"a - b, 1:1, 0:12.40–0:17.1": "a - b, 1:1, 0:12.40–0:17.1",
		"27G 13 mm (0.3 mL)":         "27G 13 mm (0.3 mL)",
		"two\nlines\r\n\tand tabs":   "two lines and tabs",
		"\u202eturned\ufeff\x00":     "turned",
		"\\*":                        `\\\*`,
	}
	for typed, want := range cases {
		if got := escape(typed, 1000); got != want {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
}

func TestCuttingNeverCutsASignInTwo(t *testing.T) {
	for _, text := range []string{strings.Repeat("*", 50), strings.Repeat("🧪", 50), strings.Repeat("a*", 50), "short"} {
		for most := 1; most < 60; most++ {
			for name, got := range map[string]string{"escape": escape(text, most), "plain": plain(text, most)} {
				if length(got) > most {
					t.Errorf("%s of %q in %d has %d characters", name, text, most, length(got))
				}
				if strings.HasSuffix(strings.TrimSuffix(got, "…"), `\`) || strings.ContainsRune(got, '\ufffd') {
					t.Errorf("%s cut a sign: %q", name, got)
				}
			}
		}
	}
}

func TestAPictureHasItsWords(t *testing.T) {
	var data bytes.Buffer
	if err := png.Encode(&data, image.NewGray(image.Rect(0, 0, 2, 2))); err != nil {
		t.Fatal(err)
	}
	s := play(t, discordtest.Options{})
	s.wantAnswers(t)
	card := commands.Card{Title: "Share by time", Caveats: caveatsOf(t),
		Picture: &commands.Picture{Name: "share.png", Alt: "Share of tests by time: half by 2 s, 9 in 10 by 8 s",
			PNG: data.Bytes()}}
	for range 2 { // once for its key, however often it is sent
		if _, err := s.bot.Post(t.Context(), Unasked{Server: s.guild.ID, Channel: s.guild.Channel("general").ID,
			Card: card, Key: "2026-W48 of " + s.guild.ID}); err != nil {
			t.Fatal(err)
		}
	}
	all := s.guild.Channel("general").Messages(s.tess)
	if len(all) != 1 {
		t.Fatalf("%d messages", len(all))
	}
	got := all[0]
	wants(t, got.Text(), `picture share.png: "Share of tests by time: half by 2 s, 9 in 10 by 8 s"`)
	if got.Nonce == "" || len(got.Nonce) > maxNonce {
		t.Errorf("nonce %q", got.Nonce)
	}
}

// A picture that comes with the answer to an interaction, at once or deferred,
// and one that goes again when the answer takes another's place.
func TestAPictureComesAndGoesWithItsAnswer(t *testing.T) {
	b := looseBot(t)
	var kinds, bodies []string
	b.replies = api.NewReplies(trip(func(r *http.Request) (*http.Response, error) {
		body, err := io.ReadAll(r.Body)
		kinds, bodies = append(kinds, r.Method+" "+r.Header.Get("Content-Type")), append(bodies, string(body))
		return says(204, ""), err
	}), "test")
	pictured := commands.Card{Title: "t", Picture: &commands.Picture{Name: "p.png", Alt: "what it shows",
		PNG: []byte("PNG")}}
	for _, step := range []struct {
		card     commands.Card
		deferred bool
		showing  showing
	}{{pictured, false, asNew}, {pictured, true, asNew}, {commands.Card{Title: "t"}, false, inPlace}} {
		one := &turn{bot: b, ix: interaction{id: "1", app: "2", token: "t", server: "5"}, received: time.Now(),
			deferred: step.deferred, showing: step.showing}
		one.respond(t.Context(), b.message(step.card, one.place(), ""))
	}
	wants(t, kinds[0], "POST multipart/form-data")
	wants(t, kinds[1], "PATCH multipart/form-data")
	wants(t, bodies[1], `"attachments":[{"id":0,"filename":"p.png","description":"what it shows"}]`,
		`"url":"attachment://p.png"`, `filename="p.png"`, "PNG")
	wants(t, kinds[2], "POST application/json")
	wants(t, bodies[2], `"attachments":[]`)
}

func TestNamesOfFilesAreReferredToAsTheyAre(t *testing.T) {
	for name, want := range map[string]string{"share.png": "share.png", "a b/../c.png": "abc.png", "": "file.png",
		"漢字.png": "file.png", "x": "x.png", ".png": "file.png"} {
		if got := fileName(name, ".png"); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
	for name, want := range map[string]string{"tests.csv": "tests.csv",
		"our tests 2026-11-24.csv": "ourtests2026-11-24.csv", "x": "x", "a.tar.gz": "atar.gz",
		"bad.c\rsv\"": "bad.csv"} {
		if got := fileName(name, ""); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

func TestNoMessageIsSentThatCouldNotifyAnybody(t *testing.T) {
	b := looseBot(t)
	for scene, m := range map[string]message{
		"a card":    b.message(commands.Card{Title: "@everyone <@1>"}, place{}, ""),
		"a reply":   b.message(commands.Card{}, place{}, "").replyTo("5"),
		"no groups": b.noneOrSeveral(t.Context(), nil, commands.Request{}),
	} {
		data, err := json.Marshal(m)
		if err != nil || !bytes.Contains(data, []byte(`"allowed_mentions":{"parse":[],"replied_user":false}`)) {
			t.Errorf("%s: %s, %v", scene, data, err)
		}
	}
}
