package discord

import (
	"context"
	"path/filepath"
	"testing"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// begin is a scene whose new servers have nothing on their lists, and one of them, North,
// to which Zoe has just brought the bot.
func begin(t testing.TB) (s *scene, zoe *discordtest.User, north *discordtest.Guild) {
	t.Helper()
	s = stage(t, discordtest.Options{IdentifySpacing: discordtest.Off})
	s.foundEmpty()
	s.start(t)
	s.ready(t)
	zoe = s.srv.User("zoe")
	north = s.srv.JoinGuild("North", zoe)
	until(t, "the welcome is there", func() bool { return len(told(zoe)) == 1 })
	return s, zoe, north
}

// foundEmpty has new servers begin with nothing.
func (s *scene) foundEmpty() {
	s.bot.communities.Found = func(ctx context.Context, ref, name string) (*knowledge.Group, error) {
		return s.store.Found(ctx, knowledge.NewCommunity{Ref: ref, Name: name, Zone: "Europe/London"})
	}
}

// hands counts what somebody does: a command sent, a button pressed, something picked
// from a list, a form sent.
type hands struct {
	t       testing.TB
	s       *scene
	who     *discordtest.User
	on      discordtest.Message // what they look at
	presses int
	see     func(what, saw string) // what they did and saw; nil for nobody
}

func (h *hands) did(what string, a *discordtest.Answer) {
	h.t.Helper()
	h.presses++
	was := h.on.ID
	h.on = a.Message()
	if !h.on.Ephemeral || was != "" && h.on.ID != was {
		h.t.Errorf("%s: not in place of the step before, for one person alone:\n%s", what, h.on.Text())
	}
	if h.see != nil {
		h.see(what, h.on.Text())
	}
}

func (h *hands) start(in *discordtest.Guild) {
	h.t.Helper()
	h.on = discordtest.Message{}
	h.did("/holdbench start", h.s.srv.Command(h.who, in, "holdbench start"))
}

func (h *hands) press(name string) {
	h.t.Helper()
	h.did("["+name+"]", h.s.srv.Press(h.who, h.on, name))
}

func (h *hands) pick(list string, values ...string) {
	h.t.Helper()
	h.did("‹"+list+"›", h.s.srv.SelectFrom(h.who, h.on, list, values...))
}

// fill presses a button that opens a form and sends it.
func (h *hands) fill(name string, values ...discordtest.Option) {
	h.t.Helper()
	h.presses++
	form := h.s.srv.Press(h.who, h.on, name).Modal()
	if h.see != nil {
		h.see("["+name+"]", form.Text())
	}
	h.did("[Submit]", h.s.srv.SubmitModal(h.who, form, values...))
}

// mostPresses is how many it may take from an empty server to a first answer.
const mostPresses = 8

// walk takes the five steps.
func (h *hands) walk(in *discordtest.Guild, reminders *discordtest.Channel, trainers *discordtest.Role) {
	h.t.Helper()
	h.start(in)
	h.press("next")
	h.pick("Channel for reminders", reminders.ID)
	h.pick("Role of the trainers", trainers.ID)
	h.fill("paste gels", discordtest.Opt("Gels", "Orrick Mid\nTamsel Soft\n"),
		discordtest.Opt("Class of all these gels", []string{"medium HA"}))
	h.pick("Sizes", "27G 13 mm needle", "30G 13 mm needle")
	h.pick("Their wall class", "thin")
}

func TestAnEmptyServerHasItsFirstAnswerInAFewPresses(t *testing.T) {
	s, zoe, north := begin(t)
	h := &hands{t: t, s: s, who: zoe}
	reminders, trainers := north.Channel("reminders"), north.Role("teachers", 0)
	h.walk(north, reminders, trainers)
	wants(t, h.on.Text(), "UNTESTED", "Tamsel Soft, 30G 13 mm needle", "Nobody here has tested this: no hold.",
		"A first question, answered")
	wantCaveats(t, h.on)
	if h.presses > mostPresses {
		t.Errorf("%d presses", h.presses)
	}
	group, err := s.store.Group(t.Context(), north.ID)
	if err != nil {
		t.Fatal(err)
	}
	set, err := group.Settings(t.Context())
	words, errWords := group.Vocabulary(t.Context())
	if err != nil || errWords != nil || set.ReminderChannel != reminders.ID || set.TrainerRole != trainers.ID ||
		len(words.Products) != 2 || words.Products[0].Class != "medium HA" || len(words.Instruments) != 2 ||
		words.Instruments[1].Wall != "thin" {
		t.Errorf("%+v, %+v, %v, %v", set, words, err, errWords)
	}
}

func TestWhatMembersSeeAtTheStart(t *testing.T) {
	s, zoe, north := begin(t)
	v := &sight{s: s}
	mute := north.Channel("mute")
	mute.DenyBot(discordtest.SendMessages | discordtest.AttachFiles)
	reminders, trainers := north.Channel("reminders"), north.Role("teachers", 0)
	s.plain = map[string]string{north.ID: "…", reminders.ID: "‹reminders›", mute.ID: "‹mute›",
		trainers.ID: "‹teachers›"}
	v.did("(the bot joins North; to whoever brought it there, in private)", told(zoe)[0].Text())
	h := &hands{t: t, s: s, who: zoe, see: v.did}
	h.start(north)
	h.pick("Time zone", "Europe/Lisbon")
	h.fill("another name", discordtest.Opt("Name of the group", "North Street Circle"))
	h.press("next")
	h.pick("Channel for reminders", mute.ID)
	h.pick("Channel for reminders", reminders.ID)
	h.pick("Role of the trainers", north.ID)
	h.pick("Role of the trainers", trainers.ID)
	h.fill("paste gels", discordtest.Opt("Gels", "Orrick Mid\nTamsel Soft\norrick mid"),
		discordtest.Opt("Class of all these gels", []string{"medium HA"}))
	h.pick("Sizes", "27G 13 mm needle", "30G 13 mm needle")
	h.pick("Their wall class", "not sure")
	h.start(north)
	compare(t, filepath.Join("testdata", "seen", "start.txt"), v.b.String())
}

// Whoever leaves midway goes on where something is open, after a restart, too; and the
// buttons of the step that was left still do what they say.
func TestTheStartIsLeftAndTakenUpAgain(t *testing.T) {
	s, zoe, north := begin(t)
	h := &hands{t: t, s: s, who: zoe}
	h.start(north)
	h.press("next")
	h.pick("Channel for reminders", north.Channel("reminders").ID)
	left := h.on
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.make(t, Settings{})
	s.foundEmpty()
	s.start(t)
	s.ready(t)
	h.start(north)
	wants(t, h.on.Text(), "3 of 5 · Trainers")
	h.on = left
	h.pick("Role of the trainers", north.Role("teachers", 0).ID)
	wants(t, h.on.Text(), "4 of 5 · Gels")
	h.fill("paste gels", discordtest.Opt("Gels", "Orrick Mid"),
		discordtest.Opt("Class of all these gels", []string{"medium HA"}))
	h.start(north)
	wants(t, h.on.Text(), "5 of 5 · Needles")
	h.press("back")
	wants(t, h.on.Text(), "4 of 5 · Gels", "Orrick Mid")
}

// Whoever is no trainer any more sets nothing with the buttons and lists that they still
// have.
func TestTheStartIsForTrainersAlone(t *testing.T) {
	s, zoe, north := begin(t)
	north.Join(s.ada)
	wants(t, s.srv.Command(s.ada, north, "holdbench start").Message().Text(), "Ask as you would ask a colleague",
		"ask your trainer")
	h := &hands{t: t, s: s, who: zoe}
	h.start(north)
	h.press("next")
	north.Join(zoe)
	h.pick("Channel for reminders", north.Channel("reminders").ID)
	wants(t, h.on.Text(), "not open to you")
	group, err := s.store.Group(t.Context(), north.ID)
	if err != nil {
		t.Fatal(err)
	}
	if set, err := group.Settings(t.Context()); err != nil || set.ReminderChannel != "" {
		t.Errorf("%+v, %v", set, err)
	}
}
