package discordtest

import (
	"encoding/json"
	"strings"
	"time"
)

// Message is a message as a person sees it.
type Message struct {
	ID, Channel string
	Author      string // name
	Content     string
	Embeds      []Embed
	Components  []Component // rows
	Attachments []Attachment
	Flags       int64
	Ephemeral   bool // only the one who asked sees it
	Thinking    bool // a promise: "… is thinking"
	Edited      bool
	Deleted     bool
	ReplyTo     string   // id of the message it answers, "" if none
	Notified    []string // "@ada", "@everyone": whom it pings
	Nonce       string
	Sent        time.Time
}

// Embed is the coloured box.
type Embed struct {
	Title       string  `json:"title"`
	Description string  `json:"description"`
	URL         string  `json:"url"`
	Color       int     `json:"color"`
	Timestamp   string  `json:"timestamp"`
	Fields      []Field `json:"fields"`
	Footer      Footer  `json:"footer"`
	Author      Author  `json:"author"`
	Image       Picture `json:"image"`
	Thumbnail   Picture `json:"thumbnail"`
}

// Field is a named text in an embed.
type Field struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Inline bool   `json:"inline"`
}

// Footer and Author are the small lines below and above an embed.
type (
	Footer struct {
		Text string `json:"text"`
	}
	Author struct {
		Name string `json:"name"`
		URL  string `json:"url"`
	}
)

// Picture is a picture in an embed; Attachment is the uploaded file it shows,
// if it shows one.
type Picture struct {
	URL        string      `json:"url"`
	Attachment *Attachment `json:"-"`
}

// Attachment is a file on a message. Description is its alt text.
type Attachment struct {
	ID, Name, ContentType, Description string
	Data                               []byte
}

// Component is a button, a select or a row.
type Component struct {
	Type        int            `json:"type"`
	ID          int            `json:"id"`
	CustomID    string         `json:"custom_id"`
	Label       string         `json:"label"`
	Style       int            `json:"style"`
	URL         string         `json:"url"`
	Disabled    bool           `json:"disabled"`
	Placeholder string         `json:"placeholder"`
	MinValues   *int           `json:"min_values"`
	MaxValues   *int           `json:"max_values"`
	Options     []SelectOption `json:"options"`
	Components  []Component    `json:"components"`
	Emoji       Emoji          `json:"emoji"`
}

// SelectOption is one entry of a select.
type SelectOption struct {
	Label       string `json:"label"`
	Value       string `json:"value"`
	Description string `json:"description"`
	Default     bool   `json:"default"`
}

// Emoji stands on a button or an option.
type Emoji struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// view is the message as it stands now.
func (m *message) view() Message {
	v := Message{
		ID: m.id, Channel: m.channel.ID, Author: m.author.Name, Content: m.content, Flags: m.flags,
		Ephemeral: m.visible != nil, Thinking: m.loading(), Edited: !m.edited.IsZero(), Deleted: m.deleted,
		Notified: m.pings.names(), Sent: m.made,
	}
	if m.replyTo != nil {
		v.ReplyTo = m.replyTo.id
	}
	if text, isText := m.nonce.(string); isText {
		v.Nonce = text
	}
	decode(m.embeds, &v.Embeds)
	decode(m.components, &v.Components)
	v.Embeds = shownEmbeds(v.Embeds)
	for _, f := range m.files {
		if !f.shown {
			v.Attachments = append(v.Attachments, f.view())
			continue
		}
		for i := range v.Embeds {
			for _, p := range []*Picture{&v.Embeds[i].Image, &v.Embeds[i].Thumbnail} {
				if p.URL == f.url {
					one := f.view()
					p.Attachment = &one
				}
			}
		}
	}
	if m.flags&flagSuppressEmbeds != 0 {
		v.Embeds = nil
	}
	return v
}

// shownEmbeds leaves out embeds whose url an earlier one has: the platform
// merges them and shows the first.
func shownEmbeds(all []Embed) []Embed {
	var out []Embed
	seen := map[string]bool{}
	for _, e := range all {
		if e.URL == "" || !seen[e.URL] {
			out = append(out, e)
		}
		seen[e.URL] = true
	}
	return out
}

func (f *file) view() Attachment {
	return Attachment{f.id, f.name, f.kind, f.description, f.data}
}

// decode turns checked JSON into its typed form.
func decode(from, to any) {
	raw, err := json.Marshal(from)
	if err == nil {
		err = json.Unmarshal(raw, to)
	}
	if err != nil {
		panic("discordtest: checked JSON does not decode: " + err.Error())
	}
}

// all returns the message's buttons and selects that fit, in order.
func (m Message) all(fits func(Component) bool) []Component {
	var out []Component
	for _, row := range m.Components {
		for _, c := range row.Components {
			if fits(c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// Buttons are the message's buttons in order.
func (m Message) Buttons() []Component {
	return m.all(func(c Component) bool { return c.Type == button })
}

// Selects are the message's selects of all kinds in order.
func (m Message) Selects() []Component { return m.all(Component.isSelect) }

func (c Component) isSelect() bool {
	return c.Type == stringSelect || c.Type >= userSelect && c.Type <= channelSelect
}

// Button returns the button with that label or custom_id.
func (m Message) Button(name string) (Component, bool) {
	for _, b := range m.Buttons() {
		if b.Label == name || b.CustomID == name || b.Label == "" && b.Emoji.Name == name {
			return b, true
		}
	}
	return Component{}, false
}

// labels are the buttons' labels, for an error text.
func (m Message) labels() string {
	var out []string
	for _, b := range m.Buttons() {
		out = append(out, b.Label)
	}
	return strings.Join(out, ", ")
}
