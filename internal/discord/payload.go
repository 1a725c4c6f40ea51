package discord

import (
	"context"

	"holdbench/internal/commands"
)

// Discord's JSON. discordgo's own types lack fields that are needed here: alt text, enforced nonces, flags of an edit.

// The limits of Discord's messages (developer documentation of August 2026: resources/message, components/reference,
// interactions). Lengths are in UTF-16 units, which are never fewer than characters.
const (
	maxTitle       = 256
	maxDescription = 4096
	maxFooter      = 2048
	maxEmbedTotal  = 6000 // over all embeds of a message
	maxCustomID    = 100
	maxButtonLabel = 80
	maxSelectText  = 100 // label and value of an option
	maxPlaceholder = 150
	maxOptions     = 25 // of a select, of a command, of suggestions
	maxRows        = 5
	maxRowButtons  = 5
	maxAlt         = 1024
	maxButtonURL   = 512
	maxText        = 4000 // of a field of a form
	maxContent     = 2000
	maxMentions    = 100
	maxPage        = 100 // messages of a channel, asked for at once
)

// Kinds of components.
const (
	rowKind           = 1
	buttonKind        = 2
	selectKind        = 3
	roleSelectKind    = 6
	channelSelectKind = 8
	textKind          = 4
	labelKind         = 18
	bigButton         = 1
	greyButton        = 2
	linkButton        = 5
	shortText         = 1
	longText          = 2
	flagHidden        = 1 << 6 // only the asker sees it
	answerNow         = 4
	answerLater       = 5
	updateLater       = 6
	updateNow         = 7
	answerSuggestions = 8
	answerForm        = 9
	colourMarine      = 0x3B6E8F // an answer
	colourOchre       = 0xB7791F // a calculation, not a test
	colourGrey        = 0x6B7280 // a question back, or something that cannot be done
	colourBrick       = 0x9B2C2C // a fault of the program, or an emergency
)

type embed struct {
	Title       string   `json:"title,omitempty"`
	Description string   `json:"description,omitempty"`
	Color       int      `json:"color"`
	Footer      *footer  `json:"footer,omitempty"`
	Image       *picture `json:"image,omitempty"`
}

type footer struct {
	Text string `json:"text"`
}

type picture struct {
	URL string `json:"url"`
}

// component is a row, a button, a select, or a part of a form.
type component struct {
	Type        int         `json:"type"`
	Components  []component `json:"components,omitempty"`
	Component   *component  `json:"component,omitempty"`
	CustomID    string      `json:"custom_id,omitempty"`
	Label       string      `json:"label,omitempty"`
	Description string      `json:"description,omitempty"`
	Style       int         `json:"style,omitempty"`
	URL         string      `json:"url,omitempty"`
	Placeholder string      `json:"placeholder,omitempty"`
	Options     []option    `json:"options,omitempty"`
	Value       string      `json:"value,omitempty"`
	MaxLength   int         `json:"max_length,omitempty"`
	Required    *bool       `json:"required,omitempty"`
	MaxValues   int         `json:"max_values,omitempty"`
	Channels    []int       `json:"channel_types,omitempty"`
}

type option struct {
	Label string `json:"label"`
	Value string `json:"value"`
	Set   bool   `json:"default,omitempty"`
}

// notified says whom a message may notify: only the users that it lists, whatever its text says.
type notified struct {
	Parse       []string `json:"parse"`
	Users       []string `json:"users,omitempty"`
	RepliedUser bool     `json:"replied_user"`
}

func nobody() notified { return notified{Parse: []string{}} }

type attachment struct {
	ID          int    `json:"id"`
	Filename    string `json:"filename"`
	Description string `json:"description,omitempty"`
}

// message is a message to post, or the new content of an answer. Empty lists are sent, because an answer that is edited
// must lose what it no longer has.
type message struct {
	Content         string       `json:"content,omitempty"` // mentions alone
	Embeds          []embed      `json:"embeds"`
	Components      []component  `json:"components"`
	Attachments     []attachment `json:"attachments"`
	AllowedMentions notified     `json:"allowed_mentions"`
	Flags           int          `json:"flags,omitempty"`
	Reference       *reference   `json:"message_reference,omitempty"`
	Nonce           string       `json:"nonce,omitempty"`
	EnforceNonce    bool         `json:"enforce_nonce,omitempty"`

	files    []file
	outcome  Outcome                               // for Settings.Observe
	stored   *commands.Card                        // the Card, if it says that something was stored
	renewal  func(context.Context) (message, bool) // makes it again once a newer estimate is there; nil for none
	confirms []commands.Stored                     // what was stored earlier and is confirmed by this message
	source   *commands.Request                     // the new content of the message that was pressed on
}

// reference is the message that this one replies to. If it is gone, the reply is posted all the same.
type reference struct {
	MessageID string `json:"message_id"`
	Strict    bool   `json:"fail_if_not_exists"`
}

// callback is the first answer to an interaction.
type callback struct {
	Type int `json:"type"`
	Data any `json:"data,omitempty"`
}

type deferral struct {
	Flags int `json:"flags,omitempty"`
}

type suggestionList struct {
	Choices []suggestion `json:"choices"`
}

type suggestion struct {
	Name  string `json:"name"`
	Value any    `json:"value"`
}

type modal struct {
	CustomID   string      `json:"custom_id"`
	Title      string      `json:"title"`
	Components []component `json:"components"`
}
