package discord

import (
	"net/url"

	"holdbench/internal/commands"
)

// Labels that come from this package and not from a Card.
const (
	showLabel = "show in channel"
	pickLabel = "Pick one"
)

// place is where an answer goes and who can read it.
type place struct {
	server string      // whose group is asked
	direct bool        // a direct message: only its buttons say which group it is about
	hidden bool        // only the asker can read it
	asker  string      // the asker's id, if others can read it
	more   []component // buttons after those of the Card
	bytes  int         // the largest file that Discord takes there; 0 for its usual limit
}

// mostBytes is the largest file that Discord takes there.
func (p place) mostBytes() int {
	if p.bytes > 0 {
		return p.bytes
	}
	return maxFile
}

// rows returns the lists, buttons and links under an answer. It leaves out duplicates, and what there is no room for.
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
		id := b.customID(kind, p, a.Request)
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
	for _, group := range [][]component{buttons, links(card)} {
		for len(group) > 0 && len(rows) < maxRows {
			n := min(len(group), maxRowButtons)
			rows = append(rows, row(group[:n]...))
			group = group[n:]
		}
	}
	return rows
}

// links are a Card's links as buttons. A link that Discord would not take is left out.
func links(card commands.Card) (all []component) {
	for _, l := range card.Links {
		if address, err := url.Parse(l.URL); err == nil && address.Scheme == "https" && address.Host != "" &&
			len(address.String()) <= maxButtonURL {
			all = append(all, component{Type: buttonKind, Style: linkButton, Label: label(l.Label, maxButtonLabel),
				URL: address.String()})
		}
	}
	return all
}

func row(parts ...component) component { return component{Type: rowKind, Components: parts} }

func button(text, id string) component {
	return component{Type: buttonKind, Style: greyButton, Label: label(text, maxButtonLabel), CustomID: id}
}

// label is the text of a button or an option, which Discord does not take empty.
func label(text string, most int) string {
	if text = inShort(text, most); text == "" {
		return "…"
	}
	return text
}

// list makes a list whose picked values become an option of its request.
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
		list.Options = append(list.Options, option{label(item.Label, maxButtonLabel), item.Value, item.Set})
	}
	list.MaxValues = min(of.Most, len(list.Options))
	return list
}

// choices is the list of the ways to read what was asked; false if there are none.
func (b *Bot) choices(all []commands.Choice, p place) (component, bool) {
	list := component{Type: selectKind, CustomID: string(pickKind) + p.asker, Placeholder: pickLabel}
	seen := map[string]bool{}
	for _, c := range all {
		value := b.carry(p, c.Request, maxSelectText)
		if len(list.Options) == maxOptions || seen[value] {
			continue
		}
		seen[value] = true
		list.Options = append(list.Options, option{Label: label(c.Label, maxSelectText), Value: value})
	}
	return list, len(list.Options) > 0
}
