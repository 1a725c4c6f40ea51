package discordtest

import (
	"fmt"
	"slices"
	"unicode/utf8"
)

// Modal is the form the bot shows a person.
type Modal struct {
	CustomID, Title string
	Fields          []ModalField

	ix *interaction
}

// ModalField is one thing to fill in.
type ModalField struct {
	CustomID, Label, Description, Placeholder string
	Value                                     string // prefilled
	Required, Paragraph                       bool
	Min, Max                                  int // characters of a text, choices of a select
	Options                                   []SelectOption

	kind  int
	id    int
	outer object // the row or label around it
	row   bool
}

// modalPart is a component of a modal as the bot sent it.
type modalPart struct {
	Type        int            `json:"type"`
	ID          int            `json:"id"`
	CustomID    string         `json:"custom_id"`
	Label       string         `json:"label"`
	Description string         `json:"description"`
	Placeholder string         `json:"placeholder"`
	Value       string         `json:"value"`
	Style       int            `json:"style"`
	Required    *bool          `json:"required"`
	MinLength   int            `json:"min_length"`
	MaxLength   int            `json:"max_length"`
	MinValues   *int           `json:"min_values"`
	MaxValues   *int           `json:"max_values"`
	Options     []SelectOption `json:"options"`
	Components  []modalPart    `json:"components"`
	Component   *modalPart     `json:"component"`
}

// newModal reads a checked modal.
func newModal(ix *interaction, data object) *Modal {
	var all struct {
		CustomID   string      `json:"custom_id"`
		Title      string      `json:"title"`
		Components []modalPart `json:"components"`
	}
	decode(data, &all)
	m := &Modal{CustomID: all.CustomID, Title: all.Title, ix: ix}
	for _, part := range all.Components {
		switch {
		case part.Component != nil:
			f := part.Component.field()
			f.Label, f.Description = part.Label, part.Description
			f.outer = object{"type": label, "id": part.ID}
			m.Fields = append(m.Fields, f)
		default:
			for _, inner := range part.Components {
				f := inner.field()
				f.outer, f.row = object{"type": actionRow, "id": part.ID}, true
				m.Fields = append(m.Fields, f)
			}
		}
	}
	return m
}

func (p modalPart) field() ModalField {
	f := ModalField{
		CustomID: p.CustomID, Label: p.Label, Placeholder: p.Placeholder, Value: p.Value, Options: p.Options,
		Required: p.Required == nil || *p.Required, Paragraph: p.Style == 2, kind: p.Type, id: p.ID,
		Min: p.MinLength, Max: p.MaxLength,
	}
	if p.Type == textInput {
		if f.Max == 0 {
			f.Max = maxTextInput
		}
		return f
	}
	f.Min, f.Max = 1, 1
	if p.MinValues != nil {
		f.Min = *p.MinValues
	}
	if p.MaxValues != nil {
		f.Max = *p.MaxValues
	}
	return f
}

// Field returns the field with that label or custom_id, nil if there is none.
func (m *Modal) Field(name string) *ModalField {
	for i := range m.Fields {
		if m.Fields[i].CustomID == name || m.Fields[i].Label == name {
			return &m.Fields[i]
		}
	}
	return nil
}

// SubmitModal is the person sending the form: values by label or custom_id.
// Text fields not named keep what they were prefilled with.
func (s *Server) SubmitModal(u *User, m *Modal, values ...Option) *Answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	what := fmt.Sprintf("modal %q", m.Title)
	if u != m.ix.user {
		return s.refused(what, fmt.Errorf("%s does not see the form", u.Name))
	}
	for _, v := range values {
		if m.Field(v.Name) == nil {
			return s.refused(what, fmt.Errorf("the form has no field %q", v.Name))
		}
	}
	parts := []any{}
	for _, f := range m.Fields {
		part, err := f.fill(values)
		if err != nil {
			return s.refused(what, err)
		}
		parts = append(parts, part)
	}
	data := object{"custom_id": m.CustomID, "components": parts}
	ix := &interaction{
		kind: interactionModal, what: what, user: u, channel: m.ix.channel, data: data, source: m.ix.source,
	}
	return &Answer{srv: s, what: what, ix: s.interact(ix)}
}

// fill is one part of a submission, checked as the client checks it.
func (f ModalField) fill(values []Option) (object, error) {
	var given any
	if i := slices.IndexFunc(values, func(o Option) bool { return o.Name == f.CustomID || o.Name == f.Label }); i >= 0 {
		given = values[i].Value
	}
	inner := object{"type": f.kind, "id": f.id, "custom_id": f.CustomID}
	var err error
	if f.kind == textInput {
		inner["value"], err = f.text(given)
	} else {
		inner["values"], err = f.choose(given)
	}
	out := object{}
	for key, value := range f.outer {
		out[key] = value
	}
	if f.row {
		out["components"] = []any{inner}
	} else {
		out["component"] = inner
	}
	return out, err
}

func (f ModalField) text(given any) (string, error) {
	value, isText := given.(string)
	if given == nil {
		value, isText = f.Value, true
	}
	n := utf8.RuneCountInString(value)
	switch {
	case !isText:
		return "", fmt.Errorf("%s: give a string, not %T", f.Label, given)
	case value == "" && f.Required:
		return "", fmt.Errorf("%s is required", f.Label)
	case value != "" && (n < f.Min || n > f.Max):
		return "", fmt.Errorf("%s: %d characters, from %d to %d are allowed", f.Label, n, f.Min, f.Max)
	}
	return value, nil
}

// choose fills a select; options marked as default are taken when nothing is given.
func (f ModalField) choose(given any) ([]string, error) {
	names, _ := given.([]string)
	if one, isText := given.(string); isText {
		names = []string{one}
	}
	out := []string{}
	for _, o := range f.Options {
		if slices.Contains(names, o.Value) || slices.Contains(names, o.Label) || given == nil && o.Default {
			out = append(out, o.Value)
		}
	}
	if len(f.Options) == 0 {
		out = append(out, names...) // users, roles, channels: ids
	}
	if len(out) < len(names) {
		return nil, fmt.Errorf("%s has not all of %q", f.Label, names)
	}
	if len(out) == 0 && !f.Required {
		return out, nil
	}
	if len(out) < f.Min || len(out) > f.Max {
		return nil, fmt.Errorf("%s: %d chosen, from %d to %d are allowed", f.Label, len(out), f.Min, f.Max)
	}
	return out, nil
}
