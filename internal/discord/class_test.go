package discord

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// messagePath is where a message of a channel is edited.
const messagePath = "/channels/*/messages/*"

// classShown opens a class and shows it in the channel.
func (s *scene) classShown(t testing.TB) discordtest.Message {
	t.Helper()
	opened := s.srv.Command(s.tess, s.guild, "trainer class", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	wantHidden(t, opened, true)
	shown := s.srv.Press(s.tess, opened, "show in channel").Message()
	wantHidden(t, shown, false)
	wants(t, shown.Text(), "Class: Orrick Mid, 27G 13 mm needle", "No test yet. Open until 10:30.", "[log my test]")
	return shown
}

// now is a message of the channel as it stands.
func (s *scene) now(t testing.TB, m discordtest.Message) discordtest.Message {
	t.Helper()
	for _, there := range s.guild.Channel("general").Messages(s.ada) {
		if there.ID == m.ID {
			return there
		}
	}
	t.Fatalf("the message is gone:\n%s", m.Text())
	return m
}

// inClass logs a test by the button of a class.
func (s *scene) inClass(u *discordtest.User, m discordtest.Message, seconds string) discordtest.Message {
	form := s.srv.Press(u, m, "log my test").Modal()
	return s.srv.SubmitModal(u, form, discordtest.Opt("seconds", seconds)).Message()
}

func TestAClassIsLoggedByOneButtonAndItsMessageCounts(t *testing.T) {
	s := play(t, discordtest.Options{IdentifySpacing: discordtest.Off}) // it starts twice
	shown := s.classShown(t)
	got := s.inClass(s.ada, shown, "6.21")
	wantHidden(t, got, true)
	wants(t, got.Text(), "Test 145 of the class: 6.21 s", "[log another]", "[take test 145 back]")
	until(t, "the message counts one", func() bool {
		return strings.Contains(s.now(t, shown).Text(), "1 test by 1 member so far.")
	})
	if text := s.now(t, shown).Text(); strings.Contains(text, "6.2") || strings.Contains(text, "ada") {
		t.Errorf("what was found is told while the class is open:\n%s", text)
	}
	// The program starts anew: the class, its message and its button are as they were.
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.make(t, Settings{})
	s.start(t)
	s.ready(t)
	s.inClass(s.ada, s.now(t, shown), "6.5")
	s.inClass(s.tess, s.now(t, shown), "7.1")
	s.inClass(s.tess, s.now(t, shown), "none")
	s.inClass(s.tess, s.now(t, shown), "7.4")
	until(t, "the message counts five", func() bool {
		return strings.Contains(s.now(t, shown).Text(), "5 tests by 2 members so far.")
	})
	late := s.srv.Press(s.ada, s.now(t, shown), "log my test").Modal()
	wants(t, s.srv.Press(s.ada, s.now(t, shown), "end the class (trainer)").Message().Text(), "not open to you")
	ended := s.srv.Press(s.tess, s.now(t, shown), "end the class (trainer)").Message()
	wantHidden(t, ended, true)
	until(t, "the message shows what was found", func() bool { return strings.Contains(s.now(t, shown).Text(), "Class over") })
	over := s.now(t, shown)
	wantHidden(t, over, false)
	wants(t, over.Text(), "5 tests by 2 members", "**The same tester again** two tests lie within", "Another tester",
		"class.png")
	for _, name := range []string{"ada", "tess", "Ada", "Tess"} {
		if strings.Contains(over.Text(), name) {
			t.Errorf("%s is named:\n%s", name, over.Text())
		}
	}
	if _, there := over.Button("log my test"); there {
		t.Error("a class that is over takes tests")
	}
	refused := s.srv.SubmitModal(s.ada, late, discordtest.Opt("seconds", "6.7")).Message()
	wants(t, refused.Text(), "is over", "Nothing was stored.", "[log 6.7 outside the class]")
	if n := s.tests(t); n != 149 {
		t.Errorf("%d tests", n)
	}
	form := s.srv.Press(s.ada, refused, "log 6.7 outside the class").Modal()
	wants(t, form.Text(), "Gel *: Orrick Mid", "27G 13 mm needle", ": 6.7")
	tests, err := s.group(t).Tests(context.Background(), knowledge.TestFilter{LoggedSince: stopped().Add(-time.Hour)})
	if err != nil || len(tests) < 5 || tests[len(tests)-1].Tester.Ref == "" {
		t.Errorf("kept %+v, %v", tests, err)
	}
}

// Ten log at once: the message ends with the count of all, whoever edited it last.
func TestTheCountOfAClassIsThatOfAllWhoLoggedAtOnce(t *testing.T) {
	s := play(t, discordtest.Options{})
	shown := s.classShown(t)
	s.srv.Fault(discordtest.Slow(100*time.Millisecond).On("PATCH", messagePath).Times(3))
	var all sync.WaitGroup
	for i := range 10 {
		u := s.srv.User(fmt.Sprint("pupil", i))
		s.guild.Join(u)
		all.Go(func() { s.inClass(u, shown, fmt.Sprintf("6.%d", i+1)) })
	}
	all.Wait()
	until(t, "the message counts ten", func() bool {
		return strings.Contains(s.now(t, shown).Text(), "10 tests by 10 members so far.")
	})
	t.Logf("10 tests at once, %d edits", len(s.srv.Requests("PATCH", messagePath)))
}

// The bot may have lost its way to the message: the test is stored and confirmed.
func TestATestInClassIsStoredWhereItsMessageCannotBeEdited(t *testing.T) {
	s := play(t, discordtest.Options{})
	shown := s.classShown(t)
	s.srv.Fault(discordtest.Failing(403).On("PATCH", messagePath).Times(-1))
	wants(t, s.inClass(s.ada, shown, "6.2").Text(), "Test 145 of the class: 6.2 s")
	until(t, "it is told to the log", func() bool { return strings.Contains(s.log.String(), "could not be brought up to date") })
	wants(t, s.now(t, shown).Text(), "No test yet.")
}
