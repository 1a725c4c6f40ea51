package discord

import (
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

func TestAMentionIsAnsweredAsAReply(t *testing.T) {
	s := play(t, discordtest.Options{})
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm?")
	got := asked.Message()
	wantHidden(t, got, false)
	wants(t, got.Text(), "NO HOLD: of 7 tests at this pull 6 showed by 10 s", "[the tests]")
	if got.ReplyTo != asked.Posted().ID || len(got.Notified) > 0 {
		t.Errorf("reply to %q, notifies %v", got.ReplyTo, got.Notified)
	}
	if _, shared := got.Button(showLabel); shared {
		t.Error("offers to show what all see")
	}
	wants(t, s.srv.Mention(s.ada, s.guild, "").Message().Text(), "Ask as you would ask a colleague:")
	wants(t, s.srv.Mention(s.ada, s.guild, "/record tests orrick mid 27g 13mm").Message().Text(),
		"10 tests by 6 members")
}

func TestATrainerIsToldWhereACommandWorks(t *testing.T) {
	s := play(t, discordtest.Options{})
	const way = "If that is you, use it as a command in the server"
	wants(t, s.srv.Mention(s.tess, s.guild, "/trainer settings").Message().Text(),
		"/trainer settings is not open to you.", way)
	wants(t, s.srv.DirectMessage(s.tess, "/trainer settings").Message().Text(), "/trainer settings is not open to you.",
		way)
	if said := s.srv.Command(s.ada, s.guild, "trainer settings",
		discordtest.Anyway()).Message().Text(); strings.Contains(said,
		way) {
		t.Errorf("somebody who is none is sent to try again:\n%s", said)
	}
	// Roles are told with a message, too.
	leads := s.guild.Role("leads", 0)
	s.srv.Command(s.tess, s.guild, "trainer settings", discordtest.Opt("trainers", leads)).Message()
	s.guild.Join(s.ada, leads)
	wants(t, s.srv.Mention(s.ada, s.guild, "/trainer settings").Message().Text(), "**Ceiling** 10 s")
}

func TestAListUnderAMentionIsTheAskers(t *testing.T) {
	s := play(t, discordtest.Options{})
	question := s.srv.Mention(s.ada, s.guild, "orrick 27g 13mm").Message()
	wants(t, question.Text(), "‹Pick one: ")
	other := s.srv.Select(s.tess, question, "Orrick Firm, 27G 13 mm needle").Message()
	wantHidden(t, other, true)
	if other.ID == question.ID {
		t.Error("somebody else's pick changed the asker's message")
	}
	own := s.srv.Select(s.ada, question, "Orrick Mid, 27G 13 mm needle").Message()
	if own.ID != question.ID || own.Ephemeral {
		t.Errorf("the asker's pick is elsewhere:\n%s", own.Text())
	}
	wants(t, own.Text(), "NO HOLD: of 7 tests at this pull 6 showed by 10 s")
}

func TestWhatIsNotForTheBotIsLeftAlone(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Say(s.ada, s.guild, "orrick mid 27g 13mm").Silence(300 * time.Millisecond)
	said := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message()
	s.srv.Post(s.ada, s.guild, discordtest.Post{Text: "thank you", ReplyTo: said,
		Ping: true}).Silence(300 * time.Millisecond)
}

func TestAMessageDeliveredTwiceIsAnsweredOnce(t *testing.T) {
	s := play(t, discordtest.Options{})
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	asked.Message()
	asked.Redeliver()
	time.Sleep(300 * time.Millisecond)
	s.bot.seen.Take(asked.Posted().ID) // as after a restart: the nonce holds
	asked.Redeliver()
	time.Sleep(300 * time.Millisecond)
	if n := len(s.guild.Channel("general").Messages(s.ada)); n != 2 {
		t.Errorf("%d messages in the channel", n)
	}
}

func TestATestLoggedByAMentionTwiceIsOneTest(t *testing.T) {
	s := play(t, discordtest.Options{})
	asked := s.srv.Mention(s.ada, s.guild, `/log product:"Orrick Mid" instrument:"30G 13 mm needle" seconds:4.2`)
	wants(t, asked.Message().Text(), "Logged as test 145")
	s.bot.seen.Take(asked.Posted().ID)
	asked.Redeliver()
	time.Sleep(500 * time.Millisecond)
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests", n)
	}
}

func TestTheMessageAnsweredMayBeGone(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.srv.Fault(discordtest.Late(300*time.Millisecond).On("POST", "/channels/*/messages"))
	asked := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	time.Sleep(100 * time.Millisecond)
	s.srv.DeleteMessage(asked.Posted())
	until(t, "the answer is there", func() bool {
		all := s.guild.Channel("general").Messages(s.ada)
		return len(all) > 0 && strings.Contains(all[len(all)-1].Text(), "HOLD")
	})
}

func TestADirectMessageIsAnsweredFromTheAskersGroup(t *testing.T) {
	s := play(t, discordtest.Options{})
	got := s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message()
	wants(t, got.Text(), "NO HOLD: of 7 tests at this pull 6 showed by 10 s", "[the tests]")
	if got.Ephemeral {
		t.Error("hidden in private")
	}
	wants(t, s.srv.Press(s.ada, got, "the tests").Message().Text(), "10 tests by 6 members")
	question := s.srv.DirectMessage(s.ada, "orrick 27g 13mm").Message()
	answer := s.srv.Select(s.ada, question, "Orrick Mid, 27G 13 mm needle").Message()
	if answer.ID != question.ID {
		t.Error("the answer does not take the list's place")
	}
	wants(t, s.srv.Command(s.ada, s.ada.DM(), "hold", discordtest.Opt("text", "tamsel soft 30g 13mm")).Message().Text(),
		"Tamsel Soft, 30G 13 mm needle")
	stranger := s.srv.User("stranger")
	wants(t, s.srv.DirectMessage(stranger, "orrick mid 27g 13mm").Message().Text(), "in no server that I am in")
}

func TestWhoeverIsInTwoGroupsIsAskedWhich(t *testing.T) {
	s := stage(t, discordtest.Options{})
	north := s.srv.AddGuild("North")
	north.Join(s.ada)
	s.start(t)
	s.ready(t)
	s.haveLogs(t, s.guild, north)
	question := s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message()
	wants(t, question.Text(), "Which group's log?", "Bench", "North")
	wants(t, s.srv.Select(s.ada, question, "North").Message().Text(),
		"NO HOLD: of 7 tests at this pull 6 showed by 10 s")
	// From now on it is the one they chose, and a button goes on in its own group.
	second := s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message()
	wants(t, second.Text(), "HOLD")
	id := second.Buttons()[0].CustomID
	wants(t, id, "H="+north.ID)
	s.held(s.ada) // asked in Bench meanwhile
	wants(t, s.srv.Press(s.ada, second, "the tests").Message().Text(), "10 tests by 6 members")
}

func TestWhoeverIsInTwoGroupsReadsWhichAnswersAndCanSwitch(t *testing.T) {
	s := stage(t, discordtest.Options{})
	north := s.srv.AddGuild("North")
	north.Join(s.ada)
	s.start(t)
	s.ready(t)
	for _, g := range []*discordtest.Guild{s.guild, north} { // put on record, so that there is where to keep the choice
		s.srv.Command(s.ada, g, "stock add", discordtest.Opt("text", "Orrick Mid 30G 13 mm")).Message()
	}
	ask := func() discordtest.Message { return s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message() }
	told := ask() // North was asked last
	wants(t, told.Text(), "**Group** North\n", "[ask Bench]")
	there := s.srv.Press(s.ada, told, "ask Bench").Message()
	wants(t, there.Text(), "NO HOLD", "**Group** Bench\n", "[ask North]")
	s.held(s.ada)
	s.srv.Command(s.ada, north, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	s.bot.chosen = kept[string](10) // as after a restart
	wants(t, ask().Text(), "**Group** Bench\n")

	// What changes a log is not done in the other one, too.
	logged := s.srv.DirectMessage(s.ada, "log orrick mid 27g 13mm 7.13 video 60 fps").Message()
	wants(t, logged.Text(), "Logged as test 145", "**Group** Bench\n")
	wants(t, s.srv.Press(s.ada, logged, "ask North").Message().Text(), "North answers here from now on.")
	wants(t, ask().Text(), "**Group** North\n")
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests", n)
	}
	if text := s.held(s.ada).Text(); strings.Contains(text, "**Group**") {
		t.Errorf("in a server:\n%s", text)
	}
}

func TestWhoeverIsInThreeGroupsChoosesFromAList(t *testing.T) {
	s := stage(t, discordtest.Options{})
	for _, name := range []string{"North", "South"} {
		s.srv.AddGuild(name).Join(s.ada)
	}
	s.start(t)
	s.ready(t)
	until(t, "all servers have a log", func() bool {
		all, err := s.store.Groups(t.Context())
		return err == nil && len(all) == 3
	})
	first := s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message()
	told := s.srv.Select(s.ada, first, "South").Message()
	wants(t, told.Text(), "**Group** South\n", "["+anotherGroup+"]")
	list := s.srv.Press(s.ada, told, anotherGroup).Message()
	wants(t, list.Text(), "Which group's log?")
	wants(t, s.srv.Select(s.ada, list, "Bench").Message().Text(), "NO HOLD", "**Group** Bench\n")
}

func TestWhoeverHasLeftIsToldNothing(t *testing.T) {
	s := play(t, discordtest.Options{})
	nell := s.srv.User("nell")
	wants(t, s.srv.DirectMessage(nell, "orrick mid 27g 13mm").Message().Text(), "in no server")
	forged := interaction{id: "1", token: "x", server: "", person: person{id: nell.ID}}
	turn := &turn{bot: s.bot, ix: forged, server: s.guild.ID, received: time.Now()}
	req, _, err := unpack("hold?T=orrick+mid+27g+13mm")
	if err != nil {
		t.Fatal(err)
	}
	m := turn.ask(t.Context(), req)
	wants(t, m.Embeds[0].Title, "in no server")
}
