package room

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// smallEnv is a community with two gels and no tests.
func smallEnv(t *testing.T) *commands.Env {
	t.Helper()
	ctx := context.Background()
	store, err := knowledge.Open(ctx, filepath.Join(t.TempDir(), "bot.db"), knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: "local", Name: "Small", Zone: "UTC", Ceiling: 10})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Alder One", "Alder Two"} {
		if _, err := group.AddProduct(ctx, trade.Product{Name: name, Class: "soft HA"}); err != nil {
			t.Fatal(err)
		}
	}
	return &commands.Env{Group: group, Now: time.Now, Log: slog.New(slog.DiscardHandler)}
}

func serve(t *testing.T, r Room, in io.Reader) string {
	t.Helper()
	r.Env = smallEnv(t)
	if r.Files.Path == "" {
		r.Files.Path = t.TempDir()
	}
	r.Asker = commands.Asker{Ref: "me", Name: "me", Role: knowledge.MemberRole}
	var out bytes.Buffer
	if err := r.Serve(context.Background(), in, &out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func wants(t *testing.T, text string, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in\n%s", part, text)
		}
	}
}

func TestQuestionsAndCommandsAreAnsweredLineByLine(t *testing.T) {
	got := serve(t, Room{Banner: "Hello."}, strings.NewReader("/group gels\n\nalder one 30g 13mm\n"))
	wants(t, got, "Hello.\n\n", "Gels on the group's list: 2", "UNTESTED  Alder One, 30G 13 mm needle")
	if strings.Contains(got, "? ") {
		t.Errorf("a prompt where nobody sits:\n%s", got)
	}
}

func TestNumberPicksAChoice(t *testing.T) {
	got := serve(t, Room{}, strings.NewReader("alder 30g 13mm\n7\n2\n"))
	wants(t, got, "   1  Alder One", "   2  Alder Two", "Pick 1 to 2", "UNTESTED  Alder Two")
}

func TestNumberWithoutChoicesIsAQuestion(t *testing.T) {
	got := serve(t, Room{}, strings.NewReader("2\n"))
	if strings.Contains(got, "Pick") || !strings.Contains(got, "outside a vessel") {
		t.Errorf("got\n%s", got)
	}
}

func TestQuitEndsTheRoom(t *testing.T) {
	for _, word := range []string{"quit", "/quit", "EXIT", "bye"} {
		got := serve(t, Room{}, strings.NewReader(word+"\n/group gels\n"))
		if got != "" {
			t.Errorf("after %s:\n%s", word, got)
		}
	}
}

func TestLastLineNeedsNoEnd(t *testing.T) {
	wants(t, serve(t, Room{}, strings.NewReader("/group gels")), "Gels on the group's list: 2")
}

func TestPromptIsShownOnATerminal(t *testing.T) {
	got := serve(t, Room{Prompt: true}, strings.NewReader("quit\n"))
	if got != "? " {
		t.Errorf("%q", got)
	}
}

func TestVeryLongLineIsAnsweredAndTheNextToo(t *testing.T) {
	got := serve(t, Room{}, strings.NewReader(strings.Repeat("orrick ", 150_000)+"\n/group gels\n"))
	wants(t, got, "longer than 2000 characters", "Gels on the group's list: 2")
	if len(got) > 10_000 {
		t.Errorf("%d bytes of answer", len(got))
	}
}

func TestNothingTypedSteersTheTerminal(t *testing.T) {
	got := serve(t, Room{}, strings.NewReader("\x1b[31m\x07 \u202e wobble\n/\x1b]0;x\x07\n\xff\xfe\x00\n"))
	if i := strings.IndexFunc(got, func(r rune) bool { return r < ' ' && r != '\n' || r == 0x7f || r == '\u202e' }); i >= 0 {
		t.Errorf("%q at %d", got, i)
	}
}

func TestRoomEndsWithItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	in, hold := io.Pipe() // nobody types
	defer hold.Close()
	ended := make(chan error, 1)
	r := Room{Env: smallEnv(t)}
	go func() { ended <- r.Serve(ctx, in, io.Discard) }()
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Error("still open")
	}
}

func TestFaultOfTheInputIsReported(t *testing.T) {
	broken := errors.New("cable out")
	err := (&Room{Env: smallEnv(t)}).Serve(context.Background(), io.MultiReader(strings.NewReader("/group gels\n"),
		failing{broken}), io.Discard)
	if !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
