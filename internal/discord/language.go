package discord

import (
	_ "embed"
	"encoding/json"
	"strings"

	"github.com/bwmarrin/discordgo"
)

// languages are what commands and options are called and described as in other languages
// than English: by Discord's name of the language, then by the English names that lead
// there, as in "stock add" and, for an option, "stock add:product". What is not there is
// shown in English. What Discord sends has the English names, whatever was shown.
type languages map[discordgo.Locale]map[string]translation

type translation struct{ Name, Description string }

//go:embed languages.json
var languageFile []byte

// keptLanguages are the languages that the program has. A test reads the file.
func keptLanguages() languages {
	var l languages
	_ = json.Unmarshal(languageFile, &l)
	return l
}

// declared are the menus in English and every other language.
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

// translateOptions translates what stands under a command, sub-commands too.
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

// english is a typed line with a slash whose command may stand there by a name in
// another language.
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

// named is the English name under a path of what is called so in any language.
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
