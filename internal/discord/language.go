package discord

import (
	_ "embed"
	"encoding/json"
	"strings"

	"github.com/bwmarrin/discordgo"
)

// languages has the names and descriptions of commands and options in languages other than English: by Discord's
// locale, then by the path of English names, as in "stock add" or, for an option, "stock add:product". What is
// missing is shown in English. Discord sends the English names whatever it shows.
type languages map[discordgo.Locale]map[string]translation

type translation struct{ Name, Description string }

//go:embed languages.json
var languageFile []byte

// shippedLanguages reads the embedded file. A test checks that it can be read.
func shippedLanguages() languages {
	var l languages
	_ = json.Unmarshal(languageFile, &l)
	return l
}

// declared returns the menus in all languages.
func (b *Bot) declared() []*discordgo.ApplicationCommand {
	all := declarations()
	for locale, table := range b.languages {
		for _, d := range all {
			t := table[d.Name]
			if t.Name != "" {
				d.NameLocalizations = with(d.NameLocalizations, locale, t.Name)
			}
			if t.Description != "" {
				d.DescriptionLocalizations = with(d.DescriptionLocalizations, locale, t.Description)
			}
			translateOptions(d.Name, d.Options, locale, table)
		}
	}
	return all
}

// translateOptions translates a command's options and sub-commands.
func translateOptions(
	path string, options []*discordgo.ApplicationCommandOption, locale discordgo.Locale, table map[string]translation,
) {
	for _, o := range options {
		key := path + ":" + o.Name
		if o.Type == discordgo.ApplicationCommandOptionSubCommand ||
			o.Type == discordgo.ApplicationCommandOptionSubCommandGroup {
			key = path + " " + o.Name
		}
		t := table[key]
		if t.Name != "" {
			o.NameLocalizations = *with(&o.NameLocalizations, locale, t.Name)
		}
		if t.Description != "" {
			o.DescriptionLocalizations = *with(&o.DescriptionLocalizations, locale, t.Description)
		}
		translateOptions(key, o.Options, locale, table)
	}
}

func with(texts *map[discordgo.Locale]string, locale discordgo.Locale, text string) *map[discordgo.Locale]string {
	if texts == nil || *texts == nil {
		texts = &map[discordgo.Locale]string{}
	}
	(*texts)[locale] = text
	return texts
}

// english replaces the command of a typed line, which may be in another language, by its English name.
func (l languages) english(line string) string {
	rest, slash := strings.CutPrefix(line, "/")
	if !slash {
		return line
	}
	path := ""
	for rest != "" {
		word, after, _ := strings.Cut(rest, " ")
		name := l.named(path, strings.ToLower(word))
		if name == "" {
			break
		}
		path, rest = strings.TrimSpace(path+" "+name), after
	}
	return strings.TrimSpace("/" + strings.TrimSpace(path+" "+rest))
}

// named returns the English name of what is called word in any language, under a path.
func (l languages) named(path, word string) string {
	for _, table := range l {
		for key, t := range table {
			name, under := strings.CutPrefix(key, path)
			if name = strings.TrimSpace(name); under && t.Name == word && !strings.ContainsAny(name, " :") {
				return name
			}
		}
	}
	return ""
}
