package discord

import (
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/discordtest"
)

type trip func(*http.Request) (*http.Response, error)

func (f trip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

func says(status int, body string) *http.Response {
	return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(body))}
}

func TestAnAnswerThatDiscordDoesNotTakeBecomesAnApology(t *testing.T) {
	b := looseBot(t)
	var sent []string
	b.replies = api.NewReplies(trip(func(r *http.Request) (*http.Response, error) {
		body, err := io.ReadAll(r.Body)
		sent = append(sent, string(body))
		if len(sent) == 1 {
			return says(400, `{"code":50035,"message":"Invalid Form Body","errors":{"data":{}}}`), err
		}
		return says(204, ""), err
	}), "test")
	t1 := &turn{bot: b, ix: interaction{id: "1", token: "t", server: "5"}, received: time.Now()}
	t1.respond(t.Context(), b.message(commands.Card{Title: "too long for some reason"}, t1.place(), ""))
	if len(sent) != 2 || !t1.done {
		t.Fatalf("%d answers sent, done %t", len(sent), t1.done)
	}
	wants(t, sent[1], "Something went wrong here", "No flashback does not mean")
}

func TestAnswersDoNotWaitForOneAnother(t *testing.T) {
	// Six edits of 1.5 s each take little longer than one: the library would make
	// them stand in line.
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Late(1500*time.Millisecond).On("PATCH", editPath).Times(-1))
	began := time.Now()
	var asked []*discordtest.Answer
	for range 6 {
		asked = append(asked, s.srv.Command(s.ada, s.guild, "group compare", discordtest.Opt("product", "Orrick Mid")))
	}
	for _, a := range asked {
		a.Message()
	}
	if took := time.Since(began); took > slowness*5*time.Second {
		t.Errorf("six answers took %s", took)
	}
}

func TestTheLibrarysBucketsDoNotGrow(t *testing.T) {
	s := play(t, discordtest.Options{})
	for range 5 {
		s.wantAnswers(t)
		s.srv.Command(s.ada, s.guild, "group compare", discordtest.Opt("product", "Orrick Mid")).Message()
	}
	// GetBucket makes a bucket for what it does not know: it is full then.
	for _, r := range s.srv.Requests("POST", callbackPath) {
		if r.Header["Authorization"] != "" {
			t.Errorf("%s went through the library: it carries the bot token", r.Path)
		}
	}
}
