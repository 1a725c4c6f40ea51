package discord

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

const (
	callbackPath = "/interactions/*/*/callback"
	editPath     = "/webhooks/*/*/messages/*"
	postPath     = "/channels/*/messages"
)

func TestAnAnswerGetsThroughWhateverHappensOnTheWay(t *testing.T) {
	t.Parallel()
	faults := map[string]discordtest.Fault{
		"429":           discordtest.RateLimited(300 * time.Millisecond),
		"500":           discordtest.Failing(500),
		"502":           discordtest.Failing(502),
		"503 twice":     discordtest.Failing(503).Times(2),
		"slow":          discordtest.Slow(1500 * time.Millisecond),
		"late":          discordtest.Late(500 * time.Millisecond),
		"cut":           discordtest.Dropped(),
		"the reply cut": discordtest.AnswerLost(),
	}
	for name, fault := range faults {
		t.Run("first answer, "+name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			if name == "the reply cut" {
				// What was done and what was not looks the same: it is sent again.
				s.srv.ExpectViolation("already been acknowledged")
			}
			s.srv.Fault(fault.On("POST", callbackPath))
			a := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
			wants(t, a.Message().Text(), "SHOWS IN TIME: hold 5 s")
			if a.Latency() > answerWithin {
				t.Errorf("after %s", a.Latency())
			}
		})
		t.Run("promised answer, "+name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			s.srv.Fault(fault.On("PATCH", editPath))
			wants(t, s.logged(s.ada).Message().Text(), "Logged as test 145")
		})
		t.Run("reply, "+name, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			s.srv.Fault(fault.On("POST", postPath))
			wants(t, s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message().Text(), "SHOWS IN TIME: hold 5 s")
			time.Sleep(200 * time.Millisecond)
			if n := len(s.guild.Channel("general").Messages(s.ada)); n != 2 {
				t.Errorf("%d messages", n)
			}
		})
	}
}

func TestAGlobalLimitIsWaitedOut(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.GloballyRateLimited(700*time.Millisecond).On("POST", postPath))
	first := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	time.Sleep(350 * time.Millisecond) // from now on a request would be a breach
	second := s.srv.Mention(s.tess, s.guild, "orrick mid 27g 13mm")
	// Answers to interactions are exempt.
	s.wantAnswers(t)
	first.Message()
	second.Message()
}

func TestAFloodOfMentionsKeepsToTheLimit(t *testing.T) {
	s := play(t, discordtest.Options{}) // 50 requests a second, or the test fails
	var asked []*discordtest.Answer
	for range 80 {
		asked = append(asked, s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm"))
	}
	for _, a := range asked {
		if _, err := a.Wait(10 * time.Second); err != nil {
			t.Fatal(err)
		}
	}
}

func TestAReplyThatIsForbiddenIsNotTriedAgain(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.guild.Channel("general").DenyBot(discordtest.SendMessages)
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	until(t, "it is told to the log", func() bool { return strings.Contains(s.log.String(), "a reply did not get through") })
	asked.Silence(200 * time.Millisecond)
	if n := len(s.srv.Requests("POST", "/channels/"+s.guild.Channel("general").ID+"/messages")); n != 1 {
		t.Errorf("%d tries", n)
	}
}

func TestWorkThatTakesLongIsPromised(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.bot.lane = newLane(1, 10)
	leave, err := s.bot.lane.enter(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	a := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
	took, err := a.Acknowledged(3 * time.Second)
	if err != nil || !a.Deferred() || took > 2*time.Second {
		t.Fatalf("deferred %t after %s, %v", a.Deferred(), took, err)
	}
	leave()
	got := a.Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "SHOWS IN TIME")
	// In place of a list, too.
	question := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick 27g 13mm")).Message()
	leave, err = s.bot.lane.enter(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	pick := s.srv.Select(s.ada, question, "Orrick Mid, 27G 13 mm needle")
	time.Sleep(promiseAfter + 300*time.Millisecond)
	leave()
	wants(t, pick.Message().Text(), "SHOWS IN TIME")
}

func TestTooManyAtOnceAreToldSo(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.bot.lane = newLane(0, 0)
	got := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "Too many questions at once.")
}

func TestAPanicIsAnApologyToOneAsker(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.bot.communities.Found = func(context.Context, string, string) (*knowledge.Group, error) { panic("disk on fire") }
	s.start(t)
	s.ready(t)
	got := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "Something went wrong here", "Reference ")
	wants(t, s.log.String(), "disk on fire")
	wants(t, s.srv.Command(s.ada, s.guild, "log").Message().Text(), "Something went wrong here")
	if got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orr").Choices(); len(got) != 1 {
		t.Errorf("suggestions %v", got)
	}
	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message()
}

// What no client sends, and what no program knows yet.
func TestUnheardOfDataNeverPanics(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.ExpectViolation("10062") // nobody asked: the stand-in does not know them
	for _, raw := range []string{
		`null`, `[]`, `"x"`, `5`, `{}`, `{`, `{"id":"1"}`, `{"id":1,"token":2,"type":"x","user":{"id":3}}`,
		`{"id":"a1","token":"t","type":1,"user":{"id":"3"}}`,
		`{"id":"a2","token":"t","type":99,"member":{"user":{"id":"3"}}}`,
		`{"id":"a3","token":"t","type":2,"data":null,"user":{"id":"3"}}`,
		`{"id":"a4","token":"t","type":2,"guild_id":"9","data":{"name":5,"options":{"a":1}},"member":{"user":{"id":"3"},"roles":"x","permissions":[]}}`,
		`{"id":"a5","token":"t","type":3,"data":{"custom_id":{},"values":"x"},"message":7,"user":{"id":"3"}}`,
		`{"id":"a6","token":"t","type":3,"data":{"custom_id":"p","component_type":3,"values":[{"a":1},2]},"user":{"id":"3"}}`,
		`{"id":"a7","token":"t","type":3,"data":{"custom_id":"a:hold?A=%"},"guild_id":"9","member":{"user":{"id":"3"}}}`,
		`{"id":"a8","token":"t","type":4,"data":{"name":"hold","options":[{"name":"product","value":{"x":1},"focused":"yes"}]},"user":{"id":"3"}}`,
		`{"id":"a9","token":"t","type":5,"data":{"custom_id":"m:log?","components":[{"type":99,"component":[1,2]},{"type":18,"component":{"type":77,"custom_id":5,"value":{}}},7,null]},"user":{"id":"3"}}`,
		`{"id":"b1","token":"t","type":5,"data":{"custom_id":"zzz","components":"x"},"user":{"id":"3"}}`,
		`{"id":"b2","token":"t","type":2,"data":{"type":3,"name":"Log this test","target_id":"5","resolved":{"messages":[]}},"user":{"id":"3"}}`,
	} {
		for _, kind := range []string{"INTERACTION_CREATE", "MESSAGE_CREATE", "GUILD_CREATE", "GUILD_DELETE", "INTEGRATION_CREATE", "GUILD_ROLE_UPDATE"} {
			s.bot.handle(s.bot.newShard(0, 1, newGate(1, 0)), &discordgo.Event{Type: kind, RawData: json.RawMessage(raw)}, time.Now())
		}
	}
	if strings.Contains(s.log.String(), `msg=panic`) || strings.Contains(s.log.String(), "panic:") {
		t.Errorf("a panic in\n%s", s.log)
	}
	s.wantAnswers(t)
}

// trip answers requests in a test's own way.
type trip func(*http.Request) (*http.Response, error)

func (f trip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// says is what a platform answers.
func says(status int, body string) *http.Response {
	return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(body))}
}

func TestAnAnswerThatDiscordDoesNotTakeBecomesAnApology(t *testing.T) {
	b := looseBot(t)
	var sent []string
	b.wire.client.Transport = trip(func(r *http.Request) (*http.Response, error) {
		body, err := io.ReadAll(r.Body)
		sent = append(sent, string(body))
		if len(sent) == 1 {
			return says(400, `{"code":50035,"message":"Invalid Form Body","errors":{"data":{}}}`), err
		}
		return says(204, ""), err
	})
	t1 := &turn{bot: b, ix: interaction{id: "1", token: "t", server: "5"}, heard: time.Now()}
	t1.give(t.Context(), b.message(commands.Card{Title: "too long for some reason"}, t1.place(), ""))
	if len(sent) != 2 || !t1.done {
		t.Fatalf("%d answers sent, done %t", len(sent), t1.done)
	}
	wants(t, sent[1], "Something went wrong here", "No flashback does not mean")
}

func TestARefusalIsReadWhoeverItComesFrom(t *testing.T) {
	cases := map[string]struct {
		resp  *http.Response
		body  string
		code  int
		after time.Duration
	}{
		"the API":         {says(429, ""), `{"code":0,"message":"slow","retry_after":0.25,"global":false}`, 0, 250 * time.Millisecond},
		"a server before": {says(502, ""), "<html>bad gateway</html>", 0, 0},
		"a form":          {says(400, ""), `{"code":50035,"message":"Invalid Form Body"}`, 50035, 0},
		"nothing":         {says(500, ""), "", 0, 0},
	}
	for scene, c := range cases {
		got := readRefusal(c.resp, []byte(c.body))
		if got.status != c.resp.StatusCode || got.code != c.code || got.after != c.after || got.Error() == "" {
			t.Errorf("%s: %+v", scene, got)
		}
	}
	limited := says(429, "")
	limited.Header.Set("Retry-After", "2")
	if got := readRefusal(limited, []byte("<html>")); got.after != 2*time.Second {
		t.Errorf("by the header: %s", got.after)
	}
}

func TestNothingSecretIsInTheLog(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.ExpectViolation("did not respond")
	s.srv.Fault(discordtest.Dropped().Times(-1))
	s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	time.Sleep(3200 * time.Millisecond)
	s.srv.ClearFaults()
	text := s.log.String()
	wants(t, text, "did not get through")
	if strings.Contains(text, s.srv.Token()) {
		t.Errorf("the bot's token is in\n%s", text)
	}
	for _, line := range strings.Split(text, "\n") {
		if i := strings.Index(line, "/interactions/"); i >= 0 && !strings.Contains(line[i:], hidden) {
			t.Errorf("an interaction's token is in %s", line)
		}
	}
}

func TestTokensAreTakenOutOfTexts(t *testing.T) {
	b := looseBot(t)
	for text, want := range map[string]string{
		`Post "https://discord.com/api/v10/interactions/12/aW50ZXI.tok-en_/callback": EOF`: `Post "https://discord.com/api/v10/interactions/12/***/callback": EOF`,
		`Patch "https://x/api/v10/webhooks/12/tok/messages/@original": EOF`:                `Patch "https://x/api/v10/webhooks/12/***/messages/@original": EOF`,
		"a.token.of.nobody was refused":                                                    "*** was refused",
		"authorization: Bot abc.def.ghi end":                                               "authorization: Bot *** end",
		`{"token":"abc.def","x":1}`:                                                        `{"token":"***","x":1}`,
		"nothing here":                                                                     "nothing here",
	} {
		if got := b.redact(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	cause := errors.New("of a.token.of.nobody")
	if err := b.hush(cause); !errors.Is(err, cause) || strings.Contains(err.Error(), "nobody") {
		t.Errorf("%v", err)
	}
	if b.hush(nil) != nil {
		t.Error("an error of nothing")
	}
}

func TestAnswersDoNotWaitForOneAnother(t *testing.T) {
	// Six edits of 1.5 s each take little longer than one: the library would make
	// them stand in line.
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Late(1500*time.Millisecond).On("PATCH", editPath).Times(-1))
	began := time.Now()
	var asked []*discordtest.Answer
	for range 6 {
		asked = append(asked, s.srv.Command(s.ada, s.guild, "compare", discordtest.Opt("product", "Orrick Mid")))
	}
	for _, a := range asked {
		a.Message()
	}
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("six answers took %s", took)
	}
}

func TestTheLibrarysBucketsDoNotGrow(t *testing.T) {
	s := play(t, discordtest.Options{})
	for range 5 {
		s.wantAnswers(t)
		s.srv.Command(s.ada, s.guild, "compare", discordtest.Opt("product", "Orrick Mid")).Message()
	}
	// GetBucket makes a bucket for what it does not know: it is full then.
	for _, r := range s.srv.Requests("POST", callbackPath) {
		if r.Header["Authorization"] != "" {
			t.Errorf("%s went through the library: it carries the bot token", r.Path)
		}
	}
}

func TestPaceKeepsAnySecondBelowTheLimit(t *testing.T) {
	p := &pace{}
	now := time.Now()
	var sent []time.Time
	for range 300 {
		for wait := p.take(now); wait > 0; wait = p.take(now) {
			now = now.Add(wait)
		}
		sent = append(sent, now)
		now = now.Add(2 * time.Millisecond)
	}
	for i := requestsPerSecond; i < len(sent); i++ {
		if sent[i].Sub(sent[i-requestsPerSecond]) < time.Second {
			t.Fatalf("%d requests in %s", requestsPerSecond+1, sent[i].Sub(sent[i-requestsPerSecond]))
		}
	}
	p.stand(time.Hour)
	if p.take(now) < 50*time.Minute {
		t.Error("does not stand still")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := p.wait(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}
