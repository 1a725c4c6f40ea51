package discord

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord/discordtest"
)

// prompting is something to be said in the server's first channel.
func (s *scene) prompting(t testing.TB) Unasked {
	t.Helper()
	return Unasked{
		Server: s.guild.ID, Channel: s.guild.Channel("general").ID, Key: "week 48",
		Card: commands.Card{
			Title: "Worth a test this week", Caveats: caveatsOf(t),
			Actions: []commands.Action{{Label: "ask", Request: commands.Request{Command: "hold",
				Text: "orrick mid 27g 13mm"}}},
		},
	}
}

// said is what the bot has said in the server's first channel.
func (s *scene) said() []discordtest.Message {
	all := s.guild.Channel("general").Messages(s.tess)
	return slices.DeleteFunc(all, func(m discordtest.Message) bool { return m.Author != s.srv.Bot().Name })
}

func TestWhatIsSaidUnaskedNotifiesThoseWhoAreNamedAndNobodyElse(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.ada.AgreeToPings()
	u := s.prompting(t)
	u.Mentions = []string{s.ada.ID, "osier", "5> @everyone <@" + s.tess.ID}
	u.Card.Title = "For " + s.tess.Mention() + " and @everyone"
	id, err := s.bot.Post(t.Context(), u)
	if err != nil {
		t.Fatal(err)
	}
	got := s.said()
	if len(got) != 1 || got[0].ID != id || got[0].Content != s.ada.Mention() ||
		!slices.Equal(got[0].Notified, []string{"@ada"}) {
		t.Errorf("id %s, %+v", id, got)
	}
	wantHidden(t, s.srv.Press(s.tess, got[0], "ask").Message(), true)
}

func TestAsManyAreNotifiedAsAMessageTakes(t *testing.T) {
	var ids []string
	for i := range 150 {
		ids = append(ids, fmt.Sprintf("1%018d", i))
	}
	m := message{AllowedMentions: nobody()}.calling(ids)
	if n := len(m.AllowedMentions.Users); length(m.Content) > maxContent || n > maxMentions || n < 80 ||
		strings.Count(m.Content, "<@") != n {
		t.Errorf("%d characters, %d mentions", length(m.Content), n)
	}
}

// A program that stopped after a post and before it was noted starts again, long
// after Discord has forgotten the nonce.
func TestWhatWasPostedBeforeIsFoundAndNotPostedAgain(t *testing.T) {
	s := play(t, discordtest.Options{})
	begun := time.Now()
	with, without := s.prompting(t), s.prompting(t)
	without.Key, without.Card.Title, without.Card.Actions = "week 49", "What was learned last week", nil
	for _, u := range []Unasked{with, without} {
		first, err := s.bot.Post(t.Context(), u)
		if err != nil {
			t.Fatal(err)
		}
		s.srv.Clock.Advance(30 * time.Minute)
		s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message() // another message of the bot's
		u.Since = begun
		u.Card.Facts = []commands.Fact{{Text: "more is known now"}}
		again, err := s.bot.Post(t.Context(), u)
		if err != nil || again != first {
			t.Errorf("%s: posted as %s, then %s, %v", u.Key, first, again, err)
		}
	}
	n := len(s.said())
	other := with
	other.Key, other.Since = "week 50", begun
	if _, err := s.bot.Post(t.Context(), other); err != nil || len(s.said()) != n+1 {
		t.Errorf("what was not posted is taken for posted: %v", err)
	}
}

func TestItIsFoundBehindMuchThatWasSaidSince(t *testing.T) {
	s := play(t, discordtest.Options{})
	u := s.prompting(t)
	begun := time.Now()
	for range 120 {
		s.srv.Say(s.ada, s.guild, "before")
	}
	first, err := s.bot.Post(t.Context(), u)
	if err != nil {
		t.Fatal(err)
	}
	for range 150 {
		s.srv.Say(s.ada, s.guild, "since")
	}
	u.Since = begun
	s.srv.Clock.Advance(30 * time.Minute)
	if again, err := s.bot.Post(t.Context(), u); err != nil || again != first {
		t.Errorf("posted as %s, then %s, %v", first, again, err)
	}
}

func TestWhereTheHistoryCannotBeReadNothingIsPostedTwice(t *testing.T) {
	s := play(t, discordtest.Options{})
	u := s.prompting(t)
	u.Since = time.Now()
	s.guild.Channel("general").DenyBot(discordtest.ReadMessageHistory)
	if _, err := s.bot.Post(t.Context(), u); err != nil {
		t.Fatalf("nothing was said there since: %v", err)
	}
	s.srv.Clock.Advance(30 * time.Minute)
	_, err := s.bot.Post(t.Context(), u)
	if !errors.Is(err, ErrNotPosted) || len(s.said()) != 1 {
		t.Fatalf("%v, %d messages", err, len(s.said()))
	}
	wants(t, err.Error(), "Read Message History")
}

func TestADeletedMessageIsNoHiddenHistory(t *testing.T) {
	s := play(t, discordtest.Options{})
	u := s.prompting(t)
	u.Since = time.Now()
	s.held(s.ada) // seen by her alone, and the latest there all the same
	if _, err := s.bot.Post(t.Context(), u); err != nil || len(s.said()) != 1 {
		t.Errorf("%v, %d messages", err, len(s.said()))
	}
}

func TestWhatBecameOfAPostIsSaid(t *testing.T) {
	neither := errors.New("nobody knows")
	post, direct := "/channels/*/messages", "/users/@me/channels"
	for scene, c := range map[string]struct {
		happens func(*scene)
		private bool
		want    error
	}{
		"no right to write": {func(s *scene) { s.guild.Channel("general").DenyBot(discordtest.SendMessages) },
			false, ErrNotPosted},
		"no right to see": {func(s *scene) { s.guild.Channel("general").DenyBot(discordtest.ViewChannel) }, false,
			ErrNotPosted},
		"a server's error": {func(s *scene) { s.srv.Fault(discordtest.Failing(500).On("POST", post).Times(-1)) },
			false, neither},
		"nothing but cut lines": {func(s *scene) { s.srv.Fault(discordtest.AnswerLost().On("POST", post).Times(-1)) },
			false, neither},
		"a cut line, then no": {func(s *scene) {
			s.srv.Fault(discordtest.Dropped().On("POST", post))
			s.guild.Channel("general").DenyBot(discordtest.SendMessages)
		}, false, neither},
		"no network":     {func(s *scene) { s.srv.Down() }, false, ErrNotPosted},
		"a closed inbox": {func(s *scene) { s.ada.CloseDMs() }, true, ErrUnreachable},
		"errors before the post": {func(s *scene) {
			s.srv.Fault(discordtest.Failing(500).On("POST",
				direct).Times(-1))
		}, true, ErrNotPosted},
	} {
		t.Run(scene, func(t *testing.T) {
			s := play(t, discordtest.Options{})
			u := s.prompting(t)
			// Or the fault could meet the welcome, which goes the same way.
			until(t, "the welcome is there", func() bool { return len(told(s.guild.Owner)) == 1 })
			if c.private {
				u.Channel, u.Member = "", s.ada.ID
			}
			c.happens(s)
			id, err := s.bot.Post(t.Context(), u)
			s.srv.ClearFaults()
			s.srv.Up()
			known := errors.Is(err, ErrNotPosted) || errors.Is(err, ErrUnreachable)
			if id != "" || err == nil || c.want == neither && known || c.want != neither && !errors.Is(err, c.want) {
				t.Errorf("%q, %v; want %v", id, err, c.want)
			}
		})
	}
}

func TestNobodyIsToldWhatIsNotTheirs(t *testing.T) {
	s := stage(t, discordtest.Options{})
	north := s.srv.AddGuild("North")
	s.start(t)
	s.ready(t)
	stranger := s.srv.User("stranger")
	for scene, change := range map[string]func(*Unasked){
		"a channel of another server": func(u *Unasked) { u.Channel = north.Channel("general").ID },
		"no channel":                  func(u *Unasked) { u.Channel = "general" },
		"a channel that is gone":      func(u *Unasked) { u.Channel = "100000000000000001" },
		"somebody who has left":       func(u *Unasked) { u.Channel, u.Member = "", stranger.ID },
		"a name from a file":          func(u *Unasked) { u.Channel, u.Member = "", "osier" },
	} {
		u := s.prompting(t)
		change(&u)
		if _, err := s.bot.Post(t.Context(), u); !errors.Is(err, ErrUnreachable) {
			t.Errorf("%s: %v", scene, err)
		}
	}
	if n := len(s.said()) + len(north.Channel("general").Messages(s.tess)) + len(told(stranger)); n != 0 {
		t.Errorf("%d messages", n)
	}
}

func TestAPostInHandIsFinishedAtTheEndAndNoneIsBegunAfter(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Late(time.Second).On("POST", "/channels/*/messages"))
	posted := make(chan error, 1)
	go func() {
		_, err := s.bot.Post(t.Context(), s.prompting(t))
		posted <- err
	}()
	until(t, "the post is on its way", func() bool {
		return len(s.srv.Requests("POST", "/channels/"+s.guild.Channel("general").ID+"/messages")) > 0
	})
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	if err := <-posted; err != nil || len(s.said()) != 1 {
		t.Errorf("%v, %d messages", err, len(s.said()))
	}
	if _, err := s.bot.Post(t.Context(), s.prompting(t)); !errors.Is(err, ErrNotPosted) {
		t.Errorf("after the end: %v", err)
	}
}

func TestServersOfOthersAreNotServed(t *testing.T) {
	s := stage(t, discordtest.Options{})
	select {
	case <-s.bot.Listed():
		t.Error("servers are known before the start")
	default:
	}
	s.start(t)
	s.ready(t)
	<-s.bot.Listed()
	if !s.bot.Serves(s.guild.ID) || s.bot.Serves("100000000000000001") || s.bot.Serves("local") {
		t.Error("serves others than the servers it is in")
	}
}
