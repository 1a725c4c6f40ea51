package discordtest

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Command is a person using a slash command: name is "hold", or with
// sub-commands "stock add". The options are checked as the person's client
// checks them; see [Anyway].
func (s *Server) Command(u *User, place Place, name string, options ...Option) *Answer {
	ch := s.lockPlace(place)
	defer s.mu.Unlock()
	what := "/" + name
	ix, err := s.commandUse(u, ch, name, options, &filling{})
	if err != nil {
		return s.refused(what, err)
	}
	ix.kind, ix.what = interactionCommand, what
	return &Answer{srv: s, what: what, ix: s.interact(ix)}
}

// commandUse builds the interaction of a slash command.
func (s *Server) commandUse(u *User, ch *Channel, name string, options []Option, fl *filling) (*interaction, error) {
	path := strings.Fields(name)
	if len(path) == 0 {
		return nil, errors.New("no command named")
	}
	cmd := s.lookUp(path[0], chatCommand)
	if cmd == nil {
		return nil, errors.New("no such command is registered")
	}
	fl.srv, fl.channel, fl.resolved, fl.force = s, ch, object{}, isAnyway(options)
	if err := s.mayUse(cmd, u, ch); err != nil && !(fl.force && memberHere(u, ch)) {
		return nil, err
	}
	declared, _ := cmd.body["options"].([]any)
	filled, err := fl.options(declared, path[1:], options)
	if err != nil {
		return nil, err
	}
	data := object{"id": cmd.id, "name": cmd.name(), "type": chatCommand, "options": filled}
	if len(fl.resolved) > 0 {
		data["resolved"] = fl.resolved
	}
	return &interaction{user: u, channel: ch, data: data}, nil
}

func memberHere(u *User, ch *Channel) bool {
	return ch.guild == nil || ch.guild.members[u.ID] != nil
}

// Choice is one suggestion of an autocomplete answer.
type Choice struct {
	Name  string
	Value any // string, int or float64
}

// Suggestions is the handle on the bot's suggestions.
type Suggestions struct{ answer *Answer }

// Autocomplete is a person typing into an option: typed is what stands there
// so far, others are the options filled in already.
func (s *Server) Autocomplete(u *User, place Place, name, option, typed string, others ...Option) *Suggestions {
	ch := s.lockPlace(place)
	defer s.mu.Unlock()
	what := "/" + name + " " + option + ":" + typed
	fl := &filling{partial: true, focus: option}
	ix, err := s.commandUse(u, ch, name, append(others, Opt(option, typed)), fl)
	if err != nil {
		return &Suggestions{s.refused(what, err)}
	}
	ix.kind, ix.what = interactionAutocomplete, what
	o := s.declared(name, option)
	if o["autocomplete"] != true && !fl.force {
		return &Suggestions{s.refused(what, errors.New("the option does not ask the bot"))}
	}
	ix.focus = kindOf(o)
	return &Suggestions{&Answer{srv: s, what: what, ix: s.interact(ix)}}
}

// declared finds the declaration of an option.
func (s *Server) declared(name, option string) object {
	path := strings.Fields(name)
	cmd := s.lookUp(path[0], chatCommand)
	options, _ := cmd.body["options"].([]any)
	for _, step := range path[1:] {
		options, _ = declaration(options, step)["options"].([]any)
	}
	return declaration(options, option)
}

// Choices waits for the suggestions and fails the test if none come.
func (sg *Suggestions) Choices() []Choice {
	sg.answer.srv.tb.Helper()
	out, err := sg.Wait(patience)
	if err != nil {
		sg.answer.srv.tb.Fatal(err)
	}
	return out
}

// Wait waits for the suggestions up to limit.
func (sg *Suggestions) Wait(limit time.Duration) ([]Choice, error) {
	var out []Choice
	a := sg.answer
	err := a.await(limit, func() (bool, error) {
		if a.ix.dead {
			return false, errors.New(a.what + ": the application did not respond")
		}
		out = a.ix.suggestions
		return a.ix.finished, nil
	})
	return out, err
}

// Latency is the time the suggestions took, 0 if none came yet.
func (sg *Suggestions) Latency() time.Duration { return sg.answer.Latency() }

// MessageCommand is a person choosing a command from a message's menu. The bot
// gets the message's content whether or not it may read messages.
func (s *Server) MessageCommand(u *User, target Message, name string) *Answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	what := fmt.Sprintf("message command %q", name)
	m := s.messages[target.ID]
	if m == nil || !m.visibleTo(u) {
		return s.refused(what, errors.New("the person does not see the message"))
	}
	cmd := s.lookUp(name, messageCommand)
	if cmd == nil {
		return s.refused(what, errors.New("no such command is registered"))
	}
	if err := s.mayUse(cmd, u, m.channel); err != nil {
		return s.refused(what, err)
	}
	data := object{
		"id": cmd.id, "name": name, "type": messageCommand, "target_id": m.id,
		"resolved": object{"messages": object{m.id: m.json()}},
	}
	ix := &interaction{kind: interactionCommand, what: what, user: u, channel: m.channel, data: data}
	return &Answer{srv: s, what: what, ix: s.interact(ix)}
}
