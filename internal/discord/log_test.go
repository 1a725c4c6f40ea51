package discord

import (
	"context"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// logged logs a test by options.
func (s *scene) logged(u *discordtest.User) *discordtest.Answer {
	return s.srv.Command(u, s.guild, "log", discordtest.Opt("product", "Dunmere Deep"),
		discordtest.Opt("instrument", "27G 13 mm needle"),
		discordtest.Opt("seconds", "24.1"), discordtest.Opt("timing", "video 60 fps"))
}

func TestATestIsLoggedByOptions(t *testing.T) {
	s := play(t, discordtest.Options{})
	a := s.logged(s.ada)
	got := a.Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "Logged as test 145", "24.1 s, video 60 fps", "**Now** ",
		"sharps into the container", "[take it back] [log another] [the hold now]")
	if !a.Deferred() || a.Latency() > time.Second {
		t.Errorf("deferred %t after %s", a.Deferred(), a.Latency())
	}
	// Whoever logs is put on the list by the platform's id.
	m, err := s.group(t).Member(context.Background(), s.ada.ID)
	if err != nil || m.Name != "ada" || m.Role != knowledge.MemberRole {
		t.Errorf("%+v, %v", m, err)
	}
}

func TestARepeatDeliveryStoresOneTest(t *testing.T) {
	s := play(t, discordtest.Options{})
	a := s.logged(s.ada)
	a.Redeliver() // while the first is in hand
	wants(t, a.Message().Text(), "Logged as test 145")
	a.Redeliver() // when it is done
	time.Sleep(200 * time.Millisecond)
	s.bot.seen.Take(a.ID()) // after a restart: the request key holds
	a.Redeliver()
	time.Sleep(500 * time.Millisecond)
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests, want one more than 144", n)
	}
}

func TestATestIsLoggedByTheForm(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	wants(t, form.Text(), "Log a bench test", "Gel *", "Needle or cannula, and syringe *",
		"Seconds, none, or film from–to *", "On the bench: pull 0.1 mL, whole milk, 20 °C, watched 30 s, stopwatch",
		"nothing about a patient")
	got := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "dunmere deep"),
		discordtest.Opt("setup", "27g half inch"),
		discordtest.Opt("result", "0:12.40–0:17.13"), discordtest.Opt("bench",
			"0.1 mL, glycerol-water 40%, 21 °C, watched 60 s")).Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "Dunmere Deep, 27G 13 mm needle", "4.73 s, video 30 fps",
		"glycerol-water 40% at 21 °C", "watched 60 s", "film 0:12.40–0:17.13")
	// The next one opens as the last test was.
	next := s.srv.Press(s.ada, got, "log another").Modal()
	wants(t, next.Text(), "Gel *: Dunmere Deep", "glycerol-water 40%, 21 °C, watched 60 s, video 30 fps")
	wants(t, s.srv.SubmitModal(s.ada, next, discordtest.Opt("result", "none")).Message().Text(), "none in 60 s")
	if n := s.tests(t); n != 146 {
		t.Errorf("%d tests", n)
	}
}

func TestTheFormIsFilledInWithWhatWasGiven(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log", discordtest.Opt("product", "Pellow Lip"),
		discordtest.Opt("note", "second tip"), discordtest.Opt("temperature", 25.0)).Modal()
	wants(t, form.Text(), "Gel *: Pellow Lip", "25 °C", "Note: second tip")
}

func TestARefusedFormComesBackAsItWas(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	refused := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "Tamsel Soft"),
		discordtest.Opt("setup", "30G 13 mm needle"),
		discordtest.Opt("result", "soon"), discordtest.Opt("note", strings.Repeat("long note ", 20))).Message()
	wants(t, refused.Text(), "The seconds cannot be “soon”:", "[correct it]")
	again := s.srv.Press(s.ada, refused, "correct it").Modal()
	wants(t, again.Text(), "Gel *: Tamsel Soft", "film from–to *: soon", "long note long note")
	wants(t, s.srv.SubmitModal(s.ada, again, discordtest.Opt("result", "3.3")).Message().Text(), "Logged as test 145")
}

func TestAGelThatIsNotQuiteOneIsAskedAbout(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	question := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "orrick"),
		discordtest.Opt("setup", "30G 13 mm needle"), discordtest.Opt("result", "3.3")).Message()
	wants(t, question.Text(), "‹Pick one: Orrick Mid | Orrick Firm›")
	pick := s.srv.Select(s.ada, question, "Orrick Mid")
	wants(t, pick.Message().Text(), "Orrick Mid, 30G 13 mm needle", "Logged as test 145")
	s.bot.seen.Take(pick.ID())
	pick.Redeliver()
	time.Sleep(300 * time.Millisecond)
	if n := s.tests(t); n != 145 {
		t.Errorf("%d tests", n)
	}
}

func TestAPostedMessageIsLoggedAndItsAddressKept(t *testing.T) {
	s := play(t, discordtest.Options{})
	posted := s.srv.Say(s.tess, s.guild, "orrick mid, 30G 13mm: flashback after 4.2 s, 60 fps").Posted()
	form := s.srv.MessageCommand(s.ada, posted, "Log this test").Modal()
	wants(t, form.Text(), "Gel *: Orrick Mid", "30G 13 mm needle, supplied syringe", "film from–to *: 4.2",
		"video 60 fps")
	got := s.srv.SubmitModal(s.ada, form).Message()
	wants(t, got.Text(), "Logged as test 145", "4.2 s, video 60 fps")
	link := "https://discord.com/channels/" + s.guild.ID + "/" + s.guild.Channel("general").ID + "/" + posted.ID
	test, err := s.group(t).Test(context.Background(), 145)
	if err != nil || test.Film.Link != link {
		t.Errorf("kept %q, %v; want %q", test.Film.Link, err, link)
	}
	list := s.srv.Command(s.tess, s.guild, "record tests", discordtest.Opt("text", "orrick mid 30g 13mm")).Message()
	film, there := list.Button("film of test 145")
	if !there || film.URL != link {
		t.Errorf("no way to the film:\n%s", list.Text())
	}
}

func TestAPostOfAFilmIsReadToo(t *testing.T) {
	s := play(t, discordtest.Options{})
	posted := s.srv.Post(s.tess, s.guild, discordtest.Post{
		Text:  "Tamsel Soft on 30g half inch 0:12.40–0:17.13",
		Files: []discordtest.File{{Name: "clip.mp4", ContentType: "video/mp4", Data: []byte("film")}},
	}).Posted()
	form := s.srv.MessageCommand(s.ada, posted, "Log this test").Modal()
	wants(t, form.Text(), "Gel *: Tamsel Soft", "in frames or seconds *: 0:12.40–0:17.13", "video 30 fps")
	wants(t, s.srv.SubmitModal(s.ada, form).Message().Text(), "4.73 s, video 30 fps")
}

// Two numbers read off a film are frames or seconds: 142 frames are 142/60 = 2.367 s. The
// message that the film came in stands with the test, for whoever doubts it.
func TestAFilmIsLoggedByItsFramesOrItsSeconds(t *testing.T) {
	s := play(t, discordtest.Options{})
	posted := s.srv.Post(s.tess, s.guild, discordtest.Post{
		Text:  "tamsel soft 30g half inch, the clip",
		Files: []discordtest.File{{Name: "clip.mp4", ContentType: "video/mp4", Data: []byte("film")}},
	}).Posted()
	form := s.srv.MessageCommand(s.ada, posted, "Log this test").Modal()
	asked := s.srv.SubmitModal(s.ada, form, discordtest.Opt("result", "372-514")).Message()
	wants(t, asked.Text(), "372 to 514: frames of a film, or seconds on it?",
		"frames at 30 fps: 4.733 s | frames at 60 fps: 2.367 s | seconds: 142 s")
	wants(t, s.srv.Select(s.ada, asked, "frames at 60 fps: 2.367 s").Message().Text(), "Logged as test 145",
		"video 60 fps")
	test, err := s.group(t).Test(context.Background(), 145)
	if err != nil || test.Seconds != 2.367 || test.Film.Marks != "frames 372-514 at 60 fps" ||
		!strings.HasSuffix(test.Film.Link, posted.ID) {
		t.Errorf("got %+v, %v", test, err)
	}
}

func TestALoggedTestIsTakenBack(t *testing.T) {
	s := play(t, discordtest.Options{})
	got := s.logged(s.ada).Message()
	back := s.srv.Press(s.ada, got, "take it back").Message()
	wantHidden(t, back, true)
	wants(t, back.Text(), "Test 145 no longer counts; it stays on record.", "[put it back]")
	if n := s.tests(t); n != 144 {
		t.Errorf("%d tests", n)
	}
	wants(t, s.srv.Press(s.ada, back, "put it back").Message().Text(), "Test 145 counts again.")
	// Somebody else's test is not theirs to take back, whatever is pressed.
	forged := s.srv.Command(s.tess, s.guild, "record withdraw", discordtest.Opt("test", 145))
	wants(t, forged.Message().Text(), "Why? It is somebody else's test.")
	nell := s.srv.User("nell")
	s.guild.Join(nell)
	wants(t, s.srv.Command(nell, s.guild, "record withdraw", discordtest.Opt("test", 145)).Message().Text(),
		"somebody else's")
	changes, err := s.group(t).Changes(context.Background(), knowledge.ChangeFilter{TestID: 145})
	if err != nil || len(changes) != 3 {
		t.Errorf("%d lines of history, %v", len(changes), err)
	}
}

func TestAButtonThatIsNoLongerKnownSaysSo(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	refused := s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "x"), discordtest.Opt("setup", "y"),
		discordtest.Opt("result", "z")).Message()
	s.bot.requests = kept[remembered](10) // a restart
	got := s.srv.Press(s.ada, refused, "correct it").Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "no longer known here")
}

func TestAGelIsAddedToStockByAForm(t *testing.T) {
	s := play(t, discordtest.Options{})
	listed := s.srv.Command(s.ada, s.guild, "stock list").Message()
	wants(t, listed.Text(), "What you hold")
	form := s.srv.Press(s.ada, listed, "add a gel").Modal()
	noted := s.srv.SubmitModal(s.ada, form, discordtest.Opt("product", "Dunmere Deep"),
		discordtest.Opt("instrument", "27G 13 mm\n25G 38 mm cannula")).Message()
	wants(t, noted.Text(), "In your stock: Dunmere Deep, 27G 13 mm needle; Dunmere Deep, 25G 38 mm cannula")
}
