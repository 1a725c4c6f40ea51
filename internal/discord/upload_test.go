package discord

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/base64"
	"fmt"
	"image"
	"image/png"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

func picturedCard(t testing.TB) commands.Card {
	t.Helper()
	var data bytes.Buffer
	if err := png.Encode(&data, image.NewGray(image.Rect(0, 0, 2, 2))); err != nil {
		t.Fatal(err)
	}
	return commands.Card{
		Title: "The group's tests", Caveats: caveatsOf(t),
		Picture: &commands.Picture{Name: "share.png", Alt: "half by 2 s", PNG: data.Bytes()},
	}
}

var table = commands.File{Name: "tests.csv", Type: "text/csv; charset=utf-8",
	Data: []byte("tested_on,member\n2026-11-24,ada\n")}

// filing plays a scene in which /group gels, and /group compare, which is declared slow,
// answer with a Card of the test's own.
func filing(t *testing.T, card commands.Card) *scene {
	t.Helper()
	return filingUpTo(0, t, card)
}

// smallFile is a limit of files that tests reach in no time, bytes.
const smallFile = 64 << 10

// filingUpTo is filing where files of so many bytes are taken; 0 for as many as usual.
func filingUpTo(largest int, t *testing.T, card commands.Card) *scene {
	t.Helper()
	s := stage(t, discordtest.Options{FileBytes: largest})
	s.bot.answer = func(ctx context.Context, env *commands.Env, req commands.Request) commands.Card {
		if req.Command == "group gels" || req.Command == "group compare" {
			return card
		}
		return commands.Answer(ctx, env, req)
	}
	s.start(t)
	s.ready(t)
	return s
}

func TestFilesComeWithAnAnswerAtOnceAndDeferredAndUnasked(t *testing.T) {
	card := picturedCard(t)
	card.Files = []commands.File{table, {Name: "products.csv", Type: "text/csv; charset=utf-8", Data: []byte("name\n")},
		{Name: "share.png", Type: "image/png", Data: card.Picture.PNG}}
	s := filing(t, card)
	atOnce, deferred := s.srv.Command(s.ada, s.guild, "group gels"),
		s.srv.Command(s.ada, s.guild, "group compare", discordtest.Opt("product", "Orrick Mid"))
	answers := map[string]discordtest.Message{"at once": atOnce.Message(), "deferred": deferred.Message()}
	if atOnce.Deferred() || !deferred.Deferred() {
		t.Errorf("deferred: %t and %t", atOnce.Deferred(), deferred.Deferred())
	}
	if _, err := s.bot.Post(t.Context(), Unasked{Server: s.guild.ID, Channel: s.guild.Channel("general").ID,
		Card: card}); err != nil {
		t.Fatal(err)
	}
	answers["unasked"] = s.said()[0]
	for scene, m := range answers {
		wants(t, m.Text(), `picture share.png: "half by 2 s"`)
		if len(m.Attachments) != 3 {
			t.Fatalf("%s: %d files\n%s", scene, len(m.Attachments), m.Text())
		}
		for i, want := range []struct{ name, kind, data string }{
			{"tests.csv", "text/csv; charset=utf-8", string(table.Data)},
			{"products.csv", "text/csv; charset=utf-8", "name\n"},
			{"other-share.png", "image/png", string(card.Picture.PNG)},
		} {
			if a := m.Attachments[i]; a.Name != want.name || a.ContentType != want.kind || string(a.Data) != want.data {
				t.Errorf("%s: %s of %s, %d bytes", scene, a.Name, a.ContentType, len(a.Data))
			}
		}
	}
}

// noise cannot be compressed.
func noise(n int) []byte {
	data := make([]byte, n)
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range data {
		data[i] = byte(rng.Uint32())
	}
	return data
}

func TestAFileThatIsTooLargeGoesCompressedOrIsNamed(t *testing.T) {
	large := []byte(strings.Repeat(string(table.Data), smallFile/len(table.Data)+1))
	card := commands.Card{Title: "Files", Caveats: caveatsOf(t), Files: []commands.File{
		{Name: "tests.csv", Type: table.Type, Data: large}, {Name: "noise.bin", Data: noise(smallFile + 1)}, table,
	}}
	s := filingUpTo(smallFile, t, card)
	m := s.srv.Command(s.ada, s.guild, "group gels").Message()
	wants(t, m.Text(), "Compressed, being large: tests.csv.gz",
		"Too large to be sent here: noise.bin. Whoever runs the bot can write it to disk with “bot export”.")
	if len(m.Attachments) != 2 || m.Attachments[0].Name != "tests.csv.gz" ||
		m.Attachments[0].ContentType != "application/gzip" || m.Attachments[1].Name != "tests.csv" {
		t.Fatalf("%s", m.Text())
	}
	r, err := gzip.NewReader(bytes.NewReader(m.Attachments[0].Data))
	if err != nil {
		t.Fatal(err)
	}
	if back, err := io.ReadAll(r); err != nil || !bytes.Equal(back, large) {
		t.Errorf("%d of %d bytes come back, %v", len(back), len(large), err)
	}
}

// lines is a table of so many lines that compression makes little of.
func lines(n int) []byte {
	const each = 60 // bytes of noise in a line
	data, all := []byte("tested_on,note\n"), noise(n*each)
	for i := range n {
		data = append(data, "2026-11-24,"...)
		data = append(base64.StdEncoding.AppendEncode(data, all[i*each:(i+1)*each]), '\n')
	}
	return data
}

func TestATableThatIsTooLargeEvenCompressedGoesInParts(t *testing.T) {
	large := lines(smallFile / 58) // a little more than fits, for 60 bytes of each cannot be compressed
	s := filingUpTo(smallFile, t, commands.Card{Title: "Files", Caveats: caveatsOf(t),
		Files: []commands.File{{Name: "tests.csv", Type: table.Type, Data: large}}})
	m := s.srv.Command(s.ada, s.guild, "group gels").Message()
	wants(t, m.Text(), "Compressed and in parts, each with the heading, being large: tests-1of2.csv.gz, "+
		"tests-2of2.csv.gz")
	var back []byte
	for i, a := range m.Attachments {
		r, err := gzip.NewReader(bytes.NewReader(a.Data))
		if err != nil {
			t.Fatal(err)
		}
		part, err := io.ReadAll(r)
		if err != nil || len(a.Data) > smallFile {
			t.Errorf("%s: %d bytes, %v", a.Name, len(a.Data), err)
		}
		heading, rows, _ := bytes.Cut(part, []byte("\n"))
		if string(heading) != "tested_on,note" {
			t.Errorf("%s begins with %q", a.Name, heading)
		}
		if i == 0 {
			back = append(heading, '\n')
		}
		back = append(back, rows...)
	}
	if !bytes.Equal(back, large) {
		t.Errorf("%d bytes come back of %d", len(back), len(large))
	}
}

func TestPartsKeepToTheNumberOfFiles(t *testing.T) {
	one := file{name: "tests.csv", kind: table.Type, data: lines(200)}
	for most, want := range map[int]int{100_000: 1, 10_000: 2, 900: 0} { // 12 kB of noise, and 10 files at most
		if got := len(fitting(one, most, maxUpload, maxFiles)); got != want {
			t.Errorf("at most %d bytes: %d files, want %d", most, got, want)
		}
	}
	if got := fitting(one, 10_000, 10_000, maxFiles); got != nil {
		t.Errorf("%d files where there is no room for all", len(got))
	}
	if got := fitting(file{name: "noise.bin", data: noise(2000)}, 1000, maxUpload, maxFiles); got != nil {
		t.Errorf("%d parts of what is no table", len(got))
	}
	if got := fitting(file{name: "tests.csv", kind: table.Type, data: noise(2000)}, 1000, maxUpload,
		maxFiles); got != nil {
		t.Errorf("%d parts of one line", len(got))
	}
}

func TestALargeUploadIsDeferredAndFilesKeepToTheLimits(t *testing.T) {
	if testing.Short() {
		t.Skip("megabytes go through: too long under the race detector")
	}
	card := commands.Card{Title: "Files", Caveats: caveatsOf(t)}
	for i := range 12 {
		card.Files = append(card.Files, commands.File{Name: fmt.Sprintf("part-%d.bin", i), Data: noise(3 << 20)})
	}
	s := filing(t, card)
	a := s.srv.Command(s.ada, s.guild, "group gels")
	m := a.Message()
	total := 0
	for _, one := range m.Attachments {
		total += len(one.Data)
	}
	if !a.Deferred() || len(m.Attachments) != 8 || total > maxUpload { // 24 MiB of 3 MiB each
		t.Errorf("deferred %t, %d files, %d bytes", a.Deferred(), len(m.Attachments), total)
	}
	wants(t, m.Text(), "part-8.bin, part-9.bin, part-10.bin, part-11.bin")
}

func TestTheSizeThatAnInteractionSaysHolds(t *testing.T) {
	card := commands.Card{Title: "Files", Files: []commands.File{{Name: "a.bin", Data: noise(2000)}}}
	for most, want := range map[int]int{0: 1, 1999: 0, 4000: 1} {
		if got := len(looseBot(t).message(card, place{bytes: most}, "").files); got != want {
			t.Errorf("at most %d bytes: %d files", most, got)
		}
	}
	ix := readInteraction([]byte(`{"id":"1","attachment_size_limit":524288000}`))
	if ix.bytes != 524288000 {
		t.Errorf("read as %d", ix.bytes)
	}
}

func TestFilesGoAgainWhenAnotherAnswerTakesTheirPlace(t *testing.T) {
	m := looseBot(t).message(commands.Card{Title: "t"}, place{}, "")
	if m.Attachments == nil || len(m.Attachments) != 0 {
		t.Errorf("attachments %v", m.Attachments)
	}
}
