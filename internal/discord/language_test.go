package discord

import (
	"encoding/json"
	"testing"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func TestTheLanguagesAreRead(t *testing.T) {
	var kept languages
	if err := json.Unmarshal(languageFile, &kept); err != nil {
		t.Error(err)
	}
}

// An invented language, under the name of one that Discord has.
func TestALanguageIsAddedByATable(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.bot.languages = languages{"fi": {
		"hold":              {"pidel", "mittala"},
		"hold:product":      {"goola", ""},
		"stock":             {"varral", "varrala"},
		"stock add":         {"lissel", ""},
		"stock add:product": {"goola", "ma goola"},
		"trainer gels":      {"goolat", ""},
		"Log this test":     {"Mittaloi", ""},
	}}
	s.start(t)
	s.ready(t)
	have, err := s.bot.registered(t.Context(), s.bot.self.Load().application)
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]string{}
	for _, d := range have {
		if d.NameLocalizations != nil {
			shown[d.Name] = (*d.NameLocalizations)["fi"]
		}
		if d.DescriptionLocalizations != nil {
			shown[d.Name] += ", " + (*d.DescriptionLocalizations)["fi"]
		}
		collectFinnish(d.Name, d.Options, shown)
	}
	for path, want := range map[string]string{
		"hold": "pidel, mittala", "hold product": "goola, ", "stock": "varral, varrala", "stock add": "lissel, ",
		"stock add product": "goola, ma goola", "trainer gels": "goolat, ", "Log this test": "Mittaloi", "log": "",
	} {
		if shown[path] != want {
			t.Errorf("%s is shown as %q, want %q", path, shown[path], want)
		}
	}
	if names := differing(have, s.bot.declared()); len(names) > 0 {
		t.Errorf("registered again each time: %v", names)
	}
	if names := differing(have, declarations()); len(names) != 4 {
		t.Errorf("a change of language is not noticed: %v", names)
	}

	// What is pressed comes by the English names, and a typed name is understood.
	wants(t, s.held(s.ada).Text(), "NO HOLD")
	wants(t, s.srv.Mention(s.ada, s.guild, "/pidel orrick mid 27g 13mm").Message().Text(), "NO HOLD")
	wants(t, s.srv.Mention(s.ada, s.guild, "/hold orrick mid 27g 13mm").Message().Text(), "NO HOLD")
	for line, want := range map[string]string{
		"/varral lissel orrick": "/stock add orrick", "/VARRAL": "/stock", "/stock add x": "/stock add x",
		"pidel orrick": "pidel orrick", "/pidel goola": "/hold goola",
	} {
		if got := s.bot.languages.english(line); got != want {
			t.Errorf("%q is %q, want %q", line, got, want)
		}
	}
}

func collectFinnish(path string, options []*discordgo.ApplicationCommandOption, shown map[string]string) {
	for _, o := range options {
		name := path + " " + o.Name
		if len(o.NameLocalizations)+len(o.DescriptionLocalizations) > 0 {
			shown[name] = o.NameLocalizations["fi"] + ", " + o.DescriptionLocalizations["fi"]
		}
		collectFinnish(name, o.Options, shown)
	}
}
