package discord

import (
	"net/url"

	"holdbench/internal/commands"
)

// Words of the surface's own, which no Card knows.
const (
	showLabel = "show in channel"
	pickLabel = "Pick one"
)

// place is where an answer goes and who reads it.
type place struct {
	server string      // whose group is asked
	direct bool        // a direct message: nothing but the buttons says which group it is about
	hidden bool        // the asker alone reads it
	asker  string      // the asker's id, where others read along
	more   []component // buttons beside those of the Card
	bytes  int         // the largest file that can stand there; 0 for Discord's usual
}

// mostBytes is the largest file that can stand there.
func (p place) mostBytes() int {
	if p.bytes > 0 {
		return p.bytes
	}
	return maxFile
}

// rows are the buttons and lists under an answer: a list of choices, what can be
// asked next, what can be looked at elsewhere. What there is no room for, and
// what stands there already, is left out.
func (b *Bot) rows(card commands.Card, p place, share string) []component {
	rows := []component{}
	if list, ok := b.choices(card.Choices, p); ok {
		rows = append(rows, row(list))
	}
	for _, list := range card.Picks {
		rows = append(rows, row(b.list(list, p)))
	}
	var buttons []component
	seen := map[string]bool{}
	for _, a := range card.Actions {
		kind := askKind
		if a.Here {
			kind = askHere
		}
		id := string(kind) + b.carry(p, a.Request, maxCustomID-1)
		one := button(a.Label, id)
		switch {
		case seen[id]:
		case a.Big:
			one.Style = bigButton
			rows = append(rows, row(one))
		default:
			buttons = append(buttons, one)
		}
		seen[id] = true
	}
	if share != "" {
		buttons = append(buttons, button(showLabel, share))
	}
	buttons = append(buttons, p.more...)
	var links []component
	for _, l := range card.Links {
		if address, err := url.Parse(l.URL); err == nil && address.Scheme == "https" && address.Host != "" &&
			len(address.String()) <= maxButtonURL {
			links = append(links, component{Type: buttonKind, Style: linkButton, Label: label(l.Label),
				URL: address.String()})
		}
	}
	for _, group := range [][]component{buttons, links} {
		for len(group) > 0 && len(rows) < maxRows {
			n := min(len(group), maxRowButtons)
			rows = append(rows, row(group[:n]...))
			group = group[n:]
		}
	}
	return rows
}

func row(parts ...component) component { return component{Type: rowKind, Components: parts} }

func button(text, id string) component {
	return component{Type: buttonKind, Style: greyButton, Label: label(text), CustomID: id}
}

// label is what stands on a button; Discord takes none that is empty.
func label(text string) string {
	if text = inShort(text, maxButtonLabel); text == "" {
		return "…"
	}
	return text
}

// list is a list whose values become an option of its request.
func (b *Bot) list(of commands.Pick, p place) component {
	kind := listKind
	if of.Here {
		kind = listHere
	}
	list := component{Type: selectKind, Placeholder: inShort(of.Label, maxPlaceholder),
		CustomID: string(kind) + of.Option + b.carry(p, of.Request, maxCustomID-1-len(of.Option))}
	switch of.Kind() {
	case commands.PlatformRole:
		list.Type = roleSelectKind
		return list
	case commands.PlatformChannel:
		list.Type, list.Channels = channelSelectKind, postedTo()
		return list
	}
	for _, item := range of.Items[:min(len(of.Items), maxOptions)] {
		list.Options = append(list.Options, option{label(item.Label), item.Value, item.Set})
	}
	list.MaxValues = min(of.Most, len(list.Options))
	return list
}

// choices is the list of ways to read what was asked.
func (b *Bot) choices(all []commands.Choice, p place) (component, bool) {
	list := component{Type: selectKind, CustomID: string(pickKind) + p.asker, Placeholder: pickLabel}
	seen := map[string]bool{}
	for _, c := range all {
		value := b.carry(p, c.Request, maxSelectText)
		if len(list.Options) == maxOptions || seen[value] {
			continue
		}
		seen[value] = true
		text := inShort(c.Label, maxSelectText)
		if text == "" {
			text = "…"
		}
		list.Options = append(list.Options, option{Label: text, Value: value})
	}
	return list, len(list.Options) > 0
}
