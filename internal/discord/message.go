package discord

import (
	"strconv"
	"strings"

	"holdbench/internal/commands"
)

// message shows a Card at a place. share is the button that shows it to the
// channel, "" for none.
func (b *Bot) message(card commands.Card, p place, share string) message {
	m := message{
		Embeds:          []embed{makeEmbed(card)},
		Components:      b.rows(card, p, share),
		Attachments:     []attachment{},
		AllowedMentions: nobody(),
		outcome:         outcomeOf(card),
	}
	if p.hidden {
		m.Flags = flagHidden
	}
	if card.Picture != nil && len(card.Picture.PNG) > 0 {
		m.add(*card.Picture)
	}
	return m
}

// add puts a Card's picture on a message, with its words for whoever cannot see
// it.
func (m *message) add(p commands.Picture) {
	name := fileName(p.Name)
	m.file = &file{name: name, kind: "image/png", data: p.PNG}
	m.Attachments = []attachment{{ID: 0, Filename: name, Description: plain(p.Alt, maxAlt)}}
	m.Embeds[0].Image = &picture{URL: "attachment://" + name}
}

// fileName is a name that Discord refers to as it is: letters, digits and - alone.
func fileName(name string) string {
	stem, _, _ := strings.Cut(name, ".")
	stem = strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return -1
	}, stem)
	if stem == "" {
		stem = "picture"
	}
	return stem + ".png"
}

// replyTo makes a message the reply to another, once only however often it is
// sent: Discord makes no second message of a nonce.
func (m message) replyTo(id string) message {
	m.Reference = &reference{MessageID: id}
	return m.once(id)
}

// once gives a message its nonce.
func (m message) once(key string) message {
	m.Nonce, m.EnforceNonce = key, key != ""
	return m
}

// shardOf is the shard that a server belongs to (gateway, sharding); 0 for what
// is no id.
func shardOf(server string, count int) int {
	id, err := strconv.ParseUint(server, 10, 64)
	if err != nil || count < 1 {
		return 0
	}
	return int((id >> 22) % uint64(count))
}
