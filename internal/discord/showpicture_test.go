package discord

import (
	"bytes"
	"image/png"
	"strings"
	"testing"

	"holdbench/internal/discord/discordtest"
)

// shownIn is the picture of a message, as a PNG with its words.
func shownIn(t *testing.T, m discordtest.Message) *discordtest.Attachment {
	t.Helper()
	if len(m.Embeds) != 1 || m.Embeds[0].Image.Attachment == nil {
		t.Fatalf("no picture\n%s", m.Text())
	}
	a := m.Embeds[0].Image.Attachment
	if size, err := png.DecodeConfig(bytes.NewReader(a.Data)); err != nil || size.Width < 1000 || len(a.Data) > heavy {
		t.Errorf("%s: %d bytes, %d px wide, %v", a.Name, len(a.Data), size.Width, err)
	}
	if a.ContentType != "image/png" || !strings.Contains(a.Description, "mean outside a vessel") ||
		length(a.Description) > maxAlt {
		t.Errorf("%s of %s: %d characters: %s", a.Name, a.ContentType, length(a.Description), a.Description)
	}
	return a
}

// A picture is deferred at once, comes with its words, and goes to the channel as
// it is, where it may.
func TestPicturesAreDeferredAndShownInTheChannel(t *testing.T) {
	s := play(t, discordtest.Options{})
	answer := s.srv.Command(s.ada, s.guild, "explain picture", discordtest.Opt("product", "Orrick Mid"),
		discordtest.Opt("instrument", "27G 13 mm needle"), discordtest.Opt("background", "dark"))
	hidden := answer.Message()
	wantHidden(t, hidden, true)
	if !answer.Deferred() {
		t.Error("not deferred")
	}
	drawn := shownIn(t, hidden)
	if drawn.Name != "picture-dark.png" || !strings.HasPrefix(drawn.Description,
		"Orrick Mid, 27G 13 mm needle, thin wall. NO HOLD: of 7 tests at this pull 6 showed by 10 s, a hold takes 9 "+
			"in 10.") {
		t.Errorf("%s: %s", drawn.Name, drawn.Description)
	}
	public := s.srv.Press(s.ada, hidden, showLabel).Message()
	wantHidden(t, public, false)
	if again := shownIn(t, public); !bytes.Equal(again.Data, drawn.Data) || again.Description != drawn.Description {
		t.Error("another picture is shown to the channel")
	}
	light := shownIn(t, s.srv.Press(s.tess, public, "on light paper").Message())
	if light.Name != "picture.png" || light.Description != drawn.Description || bytes.Equal(light.Data, drawn.Data) {
		t.Errorf("on light paper: %s, %s", light.Name, light.Description)
	}
	coverage := s.srv.Command(s.ada, s.guild, "group coverage").Message()
	if shownIn(t, coverage); coverage.Embeds[0].Footer.Text == "" {
		t.Error("no caveats under the coverage")
	}
	shownIn(t, s.srv.Press(s.ada, coverage, showLabel).Message())
}

// A member's comparison of testers is for nobody else, and without names.
func TestComparisonOfTestersStaysWithWhoAsked(t *testing.T) {
	s := play(t, discordtest.Options{})
	for _, who := range []*discordtest.User{s.ada, s.tess} {
		m := s.srv.Command(who, s.guild, "group testers").Message()
		wantHidden(t, m, true)
		a := shownIn(t, m)
		if _, is := m.Button(showLabel); is {
			t.Errorf("%s can show it to the channel", who.Name)
		}
		if named := strings.Contains(m.Text()+a.Description, "lantern"); named != (who == s.tess) {
			t.Errorf("%s is told names: %t\n%s", who.Name, named, m.Text())
		}
	}
}

func TestEveryHoldLeadsToItsPicture(t *testing.T) {
	s := play(t, discordtest.Options{})
	for question, begins := range map[string]string{
		"orrick mid 27g 13mm":          "Orrick Mid, 27G 13 mm needle",
		"dunmere deep 30g 8mm":         "Untested, a calculation, not a test: Dunmere Deep, 30G 8 mm needle",
		"hesk paste 27g 13mm":          "Hesk Paste, 27G 13 mm needle",
		"orrick mid 26G 20 mm cannula": "Untested, a calculation, not a test: Orrick Mid, 26G 20 mm cannula",
	} {
		held := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", question)).Message()
		if a := shownIn(t, s.srv.Press(s.ada, s.more(held), "the picture").Message()); !strings.HasPrefix(a.Description,
			begins) {
			t.Errorf("%s: %s", question, a.Description)
		}
	}
}
