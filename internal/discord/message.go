package discord

import (
	"slices"

	"holdbench/internal/commands"
)

// message makes a Card a message for a place. share is the custom id of the button that shows it to the channel, "" for
// none.
func (b *Bot) message(card commands.Card, p place, share string) message {
	if !p.hidden && !p.direct {
		card = card.InFull()
	}
	if card.Brief != nil {
		card.Actions = append(slices.Clip(card.Actions), commands.InFullAction())
	}
	card, files := uploads(card, p.mostBytes())
	m := message{
		Embeds:          []embed{makeEmbed(card)},
		Components:      b.rows(card, p, share),
		Attachments:     []attachment{},
		AllowedMentions: nobody(),
		outcome:         outcomeOf(card),
		source:          card.Source,
	}
	if p.hidden {
		m.Flags = flagHidden
	}
	if card.Stored.What != "" {
		m.stored = &card
	}
	m.attach(files)
	return m
}

// attach puts files on a message, with alt text, and shows the picture among them in the embed.
func (m *message) attach(files []file) {
	m.files = files
	for i, f := range files {
		m.Attachments = append(m.Attachments, attachment{ID: i, Filename: f.name, Description: f.alt})
		if f.shown {
			m.Embeds[0].Image = &picture{URL: "attachment://" + f.name}
		}
	}
}

// replyTo makes a message the reply to another.
func (m message) replyTo(id string) message {
	m.Reference = &reference{MessageID: id}
	return m.once(id)
}

// once gives a message a nonce: Discord makes one message of it, however often it is sent.
func (m message) once(key string) message {
	m.Nonce, m.EnforceNonce = key, key != ""
	return m
}

// shardOf is the shard of a server (gateway, sharding); 0 if server is no id.
func shardOf(server string, count int) int {
	if count < 1 {
		return 0
	}
	return int((asID(server) >> 22) % int64(count))
}
