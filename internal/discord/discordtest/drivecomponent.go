package discordtest

import (
	"errors"
	"fmt"
)

// Press is a person pressing a button, named by its label or custom_id.
func (s *Server) Press(u *User, on Message, name string) *Answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	what := fmt.Sprintf("button %q", name)
	m, err := s.touch(u, on)
	if err != nil {
		return s.refused(what, err)
	}
	b, there := m.view().Button(name)
	switch {
	case !there:
		return s.refused(what, fmt.Errorf("the message has no such button, but %s", m.view().labels()))
	case b.Disabled:
		return s.refused(what, errors.New("the button is disabled"))
	case b.Style == styleLink || b.Style == stylePremium:
		return s.refused(what, errors.New("the button leads elsewhere; the bot does not hear of it"))
	}
	return s.useComponent(u, m, what, object{"custom_id": b.CustomID, "component_type": button, "id": b.ID})
}

// Select is a person choosing from the message's select: values are the labels
// or values of its options. With several selects, name one as "custom_id" with
// [Server.SelectFrom].
func (s *Server) Select(u *User, on Message, values ...string) *Answer {
	return s.SelectFrom(u, on, "", values...)
}

// SelectFrom is Select on the select with that custom_id or placeholder
// ("" = the first). For selects of users, roles and channels give ids.
func (s *Server) SelectFrom(u *User, on Message, name string, values ...string) *Answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	what := fmt.Sprintf("select %q", values)
	m, err := s.touch(u, on)
	if err != nil {
		return s.refused(what, err)
	}
	for _, c := range m.view().Selects() {
		if name != "" && c.CustomID != name && c.Placeholder != name {
			continue
		}
		chosen, err := c.pick(values)
		if err != nil {
			return s.refused(what, err)
		}
		data := object{"custom_id": c.CustomID, "component_type": c.Type, "id": c.ID, "values": chosen}
		if resolved := s.resolveIDs(c.Type, chosen, m.channel); resolved != nil {
			data["resolved"] = resolved
		}
		return s.useComponent(u, m, what, data)
	}
	return s.refused(what, errors.New("the message has no such select"))
}

// pick checks a choice as the client does and returns the options' values.
func (c Component) pick(names []string) ([]string, error) {
	least, most := 1, 1
	if c.MinValues != nil {
		least = *c.MinValues
	}
	if c.MaxValues != nil {
		most = *c.MaxValues
	}
	switch {
	case c.Disabled:
		return nil, errors.New("the select is disabled")
	case len(names) < least || len(names) > most:
		return nil, fmt.Errorf("%d chosen, from %d to %d are allowed", len(names), least, most)
	case c.Type != stringSelect:
		return names, nil
	}
	out := []string{}
	for _, name := range names {
		value, there := c.value(name)
		if !there {
			return nil, fmt.Errorf("the select has no option %q", name)
		}
		out = append(out, value)
	}
	return out, nil
}

func (c Component) value(name string) (string, bool) {
	for _, o := range c.Options {
		if o.Value == name || o.Label == name {
			return o.Value, true
		}
	}
	return "", false
}

// touch finds the message a person acts on, as far as they see it.
func (s *Server) touch(u *User, on Message) (*message, error) {
	m := s.messages[on.ID]
	switch {
	case m == nil || !m.visibleTo(u):
		return nil, fmt.Errorf("%s does not see the message", u.Name)
	case !memberHere(u, m.channel):
		return nil, fmt.Errorf("%s is no member here", u.Name)
	case m.loading():
		return nil, errors.New("the message is only promised")
	}
	return m, nil
}

func (s *Server) useComponent(u *User, m *message, what string, data object) *Answer {
	ix := &interaction{kind: interactionComponent, what: what, user: u, channel: m.channel, data: data, source: m}
	return &Answer{srv: s, what: what, ix: s.interact(ix)}
}

// resolveIDs is the resolved data of a select of users, roles or channels.
func (s *Server) resolveIDs(kind int, ids []string, ch *Channel) object {
	users, roles, channels := object{}, object{}, object{}
	for _, id := range ids {
		if u := s.users[id]; u != nil {
			users[id] = u.json()
		}
		if r := ch.role(id); r != nil {
			roles[id] = r.json(1)
		}
		if one := s.channels[id]; one != nil {
			channels[id] = one.json()
		}
	}
	switch kind {
	case userSelect:
		return object{"users": users}
	case roleSelect:
		return object{"roles": roles}
	case mentionableSelect:
		return object{"users": users, "roles": roles}
	case channelSelect:
		return object{"channels": channels}
	}
	return nil
}
