package discordtest

import (
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Kinds of application commands.
const (
	chatCommand    = 1
	userCommand    = 2
	messageCommand = 3
)

// commandName is the documented form of a chat command's or option's name
// (interactions/application-commands, naming).
var commandName = regexp.MustCompile(`^[-_'\p{L}\p{N}\p{Devanagari}\p{Thai}]{1,32}$`)

// locales are those a command can be translated to (reference, locales).
var locales = strings.Fields(`id da de en-GB en-US es-ES es-419 fr hr it lt hu nl no pl pt-BR ro fi sv-SE
	vi tr cs el bg ru uk hi th zh-CN ja zh-TW ko`)

// readCommand checks a command's declaration and returns it as the platform
// gives it back: defaults filled in, empty and false left out (practice).
func readCommand(f form) object {
	kind, there := f.whole("type", chatCommand, messageCommand)
	if !there {
		kind = chatCommand
	}
	kept := object{"type": kind, "nsfw": f.yes("nsfw"), "default_member_permissions": nil}
	size := f.named(kept, kind == chatCommand)
	if kind == chatCommand {
		size += f.described(kept)
		options, more := readOptions(f, "options", optionsAtTop)
		if size += more; len(options) > 0 {
			kept["options"] = options
		}
	} else {
		kept["description"] = ""
		for _, key := range []string{"description", "options"} {
			if !blank(f.data[key]) {
				f.fail(key, "APPLICATION_COMMAND_FIELD_NOT_ALLOWED", "Context menu commands cannot have %s", key)
			}
		}
	}
	if p, given := f.whole("default_member_permissions", 0, int64(everything)); given {
		kept["default_member_permissions"] = Permission(p).String()
	}
	f.scope(kept)
	if size > maxCommandSize {
		f.fail("", "APPLICATION_COMMAND_TOO_LARGE", "Command exceeds maximum size (%d)", maxCommandSize)
	}
	return kept
}

// scope reads where a command can be used.
func (f form) scope(kept object) {
	for key, last := range map[string]int64{"contexts": 2, "integration_types": 1} {
		var values []any
		for _, one := range f.list(key, 1, int(last)+1) {
			n, whole := wholeNumber(one)
			if !whole || n < 0 || n > last || slices.Contains(values, any(n)) {
				f.fail(key, "BASE_TYPE_CHOICES", "Values must be different and from 0 to %d", last)
			}
			values = append(values, n)
		}
		kept[key] = values
	}
	if !f.has("integration_types") {
		kept["integration_types"] = []any{int64(0)}
	}
	f.yes("dm_permission")
	kept["dm_permission"] = f.data["dm_permission"] != false
}

// named reads name and translations and returns the longest length.
func (f form) named(kept object, strict bool) int {
	name := f.needText("name", 1, maxCommandName)
	f.checkName("name", name, strict)
	kept["name"] = name
	return f.translated(kept, "name", maxCommandName, func(where form, locale, text string) {
		where.checkName(locale, text, strict)
	})
}

func (f form) checkName(key, name string, strict bool) {
	if name == "" || !strict && strings.TrimSpace(name) == name {
		return
	}
	if !commandName.MatchString(name) || strings.ToLower(name) != name {
		f.fail(key, "APPLICATION_COMMAND_INVALID_NAME", "Command name is invalid")
	}
}

func (f form) described(kept object) int {
	kept["description"] = f.needText("description", 1, maxCommandText)
	return f.translated(kept, "description", maxCommandText, nil)
}

// translated reads the translations of a text and returns the length of the
// longest version, the one that counts.
func (f form) translated(kept object, key string, max int, also func(form, string, string)) int {
	text, _ := kept[key].(string)
	size := utf8.RuneCountInString(text)
	table, there := f.sub(key + "_localizations")
	if !there {
		return size
	}
	for locale := range table.data {
		if !slices.Contains(locales, locale) {
			table.fail(locale, "BASE_TYPE_CHOICES", "%q is not a locale of the platform", locale)
		}
		other := table.needText(locale, 1, max)
		size = longer(size, utf8.RuneCountInString(other))
		if also != nil {
			also(table, locale, other)
		}
	}
	if len(table.data) > 0 {
		kept[key+"_localizations"] = table.data
	}
	return size
}

func longer(a, b int) int {
	if b > a {
		return b
	}
	return a
}
