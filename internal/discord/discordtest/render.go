package discordtest

import (
	"fmt"
	"strings"
)

// Text is the message as text, for transcripts:
//
//	(only you see this)
//	plain content
//	┃ Title of the embed
//	┃ its text
//	┃ Field: value
//	┃ small print
//	[Tests] [Log a test] [Help ↗]
//	‹Which Orrick?: Orrick Mid | Orrick Deep›
//	picture chart.png: "Share of tests against time"
func (m Message) Text() string {
	var b strings.Builder
	switch {
	case m.Ephemeral:
		b.WriteString("(only you see this)\n")
	case len(m.Notified) > 0:
		fmt.Fprintf(&b, "(notifies %s)\n", strings.Join(m.Notified, ", "))
	}
	if m.Thinking {
		b.WriteString("… is thinking\n")
	}
	line(&b, "", m.Content)
	for _, e := range m.Embeds {
		e.render(&b)
	}
	for _, c := range m.Components {
		c.render(&b)
	}
	for _, a := range m.Attachments {
		b.WriteString("file " + a.String() + "\n")
	}
	return b.String()
}

// String is the file on one line, with its alt text if it has one.
func (a Attachment) String() string {
	if a.Description == "" {
		return a.Name
	}
	return fmt.Sprintf("%s: %q", a.Name, a.Description)
}

// line writes text with a mark before each of its lines.
func line(b *strings.Builder, mark, text string) {
	if text == "" {
		return
	}
	for _, one := range strings.Split(text, "\n") {
		b.WriteString(strings.TrimRight(mark+one, " ") + "\n")
	}
}

func (e Embed) render(b *strings.Builder) {
	const mark = "┃ "
	line(b, mark, e.Author.Name)
	line(b, mark, e.Title)
	line(b, mark, e.Description)
	for _, f := range e.Fields {
		separator := ": "
		if strings.Contains(f.Value, "\n") {
			separator = ":\n"
		}
		line(b, mark, f.Name+separator+f.Value)
	}
	line(b, mark, e.Footer.Text)
	for _, p := range []Picture{e.Image, e.Thumbnail} {
		switch {
		case p.Attachment != nil:
			line(b, mark, "picture "+p.Attachment.String())
		case p.URL != "":
			line(b, mark, "picture "+p.URL)
		}
	}
}

func (c Component) render(b *strings.Builder) {
	var parts []string
	for _, inner := range c.Components {
		parts = append(parts, inner.String())
	}
	line(b, "", strings.Join(parts, " "))
}

// String is a button or a select on one line.
func (c Component) String() string {
	if c.isSelect() {
		var names []string
		for _, o := range c.Options {
			names = append(names, o.Label)
		}
		return "‹" + c.Placeholder + ": " + strings.Join(names, " | ") + "›"
	}
	text := strings.TrimSpace(c.Emoji.Name + " " + c.Label)
	switch {
	case c.Style == styleLink:
		text += " ↗"
	case c.Disabled:
		text += " (off)"
	}
	return "[" + text + "]"
}

// Text is the form as text, for transcripts.
func (m *Modal) Text() string {
	var b strings.Builder
	b.WriteString("┌ " + m.Title + "\n")
	for _, f := range m.Fields {
		mark := ""
		if f.Required {
			mark = " *"
		}
		value := f.Value
		if value == "" {
			value = "(" + f.Placeholder + ")"
		}
		line(&b, "│ ", f.Label+mark+": "+value)
		line(&b, "│   ", f.Description)
	}
	b.WriteString("└ [Submit] [Cancel]\n")
	return b.String()
}
