package commands

import (
	"context"
	"flag"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"holdbench/internal/knowledge"
)

var update = flag.Bool("update", false, "rewrite the transcripts, then fail once so that the difference is read")

// A transcript is what somebody typed ("> " at the front, a role in brackets
// where it is not a member who asks) and what came back. Bare numbers pick from the
// lists of the answer before. Lines that begin with # say what it is about; where the
// first begins as ofEmpty does, of a community with nothing on its lists.

const ofEmpty = "# An empty group:"

// emptyEnv is a community that was just founded, its trainer on the list.
func emptyEnv(t testing.TB) *Env {
	t.Helper()
	store, err := knowledge.Open(t.Context(), filepath.Join(t.TempDir(), "bot.db"), knowledge.WithClock(stopped),
		knowledge.WithPatience(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	group, err := store.Found(t.Context(), knowledge.NewCommunity{Ref: "123", Name: "North Room",
		Zone: "Europe/London"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := group.Admit(t.Context(), knowledge.Member{Ref: askingTrainer.Ref, Name: askingTrainer.Name,
		Role: knowledge.TrainerRole}); err != nil {
		t.Fatal(err)
	}
	return &Env{Group: group, Now: stopped, Log: slog.New(slog.DiscardHandler)}
}

func TestTranscripts(t *testing.T) {
	for _, path := range few(transcriptFiles(t), 6) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			r := replayed(t, path)
			if r.got == r.want {
				return
			}
			if !*update {
				t.Fatalf("-want +got:\n%s", cmp.Diff(strings.Split(r.want, "\n"), strings.Split(r.got, "\n")))
			}
			if err := os.WriteFile(path, []byte(r.got), 0o644); err != nil {
				t.Fatal(err)
			}
			t.Error("rewritten: read the difference, then run again")
		})
	}
}

func transcriptFiles(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("testdata", "transcripts", "*.txt"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no transcripts found: %v", err)
	}
	return paths
}

// replay is a transcript as it stands and as it comes out.
type replay struct {
	want, got string
	exchanges []said
}

// replays keeps what was replayed, for the tests that look at the same answers.
var replays sync.Map // path → replay

func replayed(t testing.TB, path string) replay {
	t.Helper()
	if r, done := replays.Load(path); done {
		return r.(replay)
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r := replay{want: string(want)}
	r.got, r.exchanges = answerAll(t, r.want)
	replays.Store(path, r)
	return r
}

// said is one exchange of a transcript.
type said struct {
	request Request
	card    Card
}

// answerAll answers every typed line of a transcript on a community of its own
// and writes the transcript anew.
func answerAll(t testing.TB, transcript string) (string, []said) {
	t.Helper()
	env := demoEnv(t)
	if strings.HasPrefix(transcript, ofEmpty) {
		env = emptyEnv(t)
	}
	env.Conversations = new(Conversations)
	var b strings.Builder
	var exchanges []said
	var last Card
	for _, line := range strings.Split(transcript, "\n") {
		if strings.HasPrefix(line, "#") {
			b.WriteString(line + "\n")
		}
		typed, is := strings.CutPrefix(line, "> ")
		if !is {
			continue
		}
		asker, text := whoAsks(t, typed)
		req := Typed(unescape(t, text), asker)
		if picked, _ := last.Numbered(text); picked != nil {
			req = *picked
			if req.Asker == (Asker{}) { // a list's; a choice is of whoever asked
				req.Asker = asker
			}
		}
		req.Place = "here"
		last = Answer(context.Background(), env, req)
		if last.Failed {
			t.Errorf("%q failed: %s", text, last.Text())
		}
		exchanges = append(exchanges, said{req, last})
		b.WriteString("\n" + line + "\n" + last.Text())
	}
	if len(exchanges) == 0 {
		t.Fatal("nothing is typed in this transcript")
	}
	return b.String(), exchanges
}

func whoAsks(t testing.TB, typed string) (Asker, string) {
	t.Helper()
	after, bracketed := strings.CutPrefix(typed, "[")
	role, text, closed := strings.Cut(after, "] ")
	if !bracketed || !closed {
		return askingMember, typed
	}
	switch role {
	case "trainer":
		return askingTrainer, text
	case "outsider":
		return askingOutsider, text
	}
	t.Fatalf("unknown role %q", role)
	return Asker{}, ""
}

// unescape turns \x1b and the like in a transcript into the character.
func unescape(t testing.TB, text string) string {
	t.Helper()
	if !strings.Contains(text, `\`) {
		return text
	}
	plain, err := strconv.Unquote(`"` + strings.ReplaceAll(text, `"`, `\"`) + `"`)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return plain
}
