package discordtest

import (
	"fmt"
	"slices"
	"strings"
)

// Option is what a person fills in: an option of a command, a field of a modal.
type Option struct {
	Name  string
	Value any // string, int, float64, bool, *User, *Role, *Channel, File; in a modal also []string
}

// Opt makes an Option.
func Opt(name string, value any) Option { return Option{name, value} }

// Anyway, given among the options, sends what an up-to-date client would not
// let the person send: a command an administrator opened to them, an option
// that the declaration does not have, a value out of its limits.
func Anyway() Option { return Option{Value: anyway{}} }

type anyway struct{}

func isAnyway(options []Option) bool {
	return slices.ContainsFunc(options, func(o Option) bool { _, yes := o.Value.(anyway); return yes })
}

// Offered tells whether the person's client offers the command there.
func (s *Server) Offered(u *User, place Place, name string) bool {
	ch := s.lockPlace(place)
	defer s.mu.Unlock()
	root, _, _ := strings.Cut(name, " ")
	for _, kind := range []int64{chatCommand, messageCommand, userCommand} {
		if cmd := s.lookUp(root, kind); cmd != nil && s.mayUse(cmd, u, ch) == nil {
			return true
		}
		if cmd := s.lookUp(name, kind); cmd != nil && s.mayUse(cmd, u, ch) == nil {
			return true
		}
	}
	return false
}

// lockPlace locks the server and finds the channel of a place.
func (s *Server) lockPlace(place Place) *Channel {
	s.mu.Lock()
	return place.here()
}

// lookUp finds a registered command.
func (s *Server) lookUp(name string, kind int64) *command {
	for _, cmd := range s.commands {
		if cmd.name() == name && kindOf(cmd.body) == kind {
			return cmd
		}
	}
	return nil
}

// mayUse says why the client does not offer the command, nil if it does.
func (s *Server) mayUse(cmd *command, u *User, ch *Channel) error {
	contexts, _ := cmd.body["contexts"].([]any)
	here := int64(0)
	if ch.guild == nil {
		here = 1
	}
	if contexts != nil && !slices.Contains(contexts, any(here)) || contexts == nil && here == 1 &&
		cmd.body["dm_permission"] == false {
		return fmt.Errorf("/%s is not for this place", cmd.name())
	}
	if ch.guild == nil {
		return nil
	}
	m := ch.guild.members[u.ID]
	if m == nil {
		return fmt.Errorf("%s is not a member of %s", u.Name, ch.guild.Name)
	}
	bits, given := wholeNumber(cmd.body["default_member_permissions"])
	has := ch.guild.permissions(m)
	if given && (bits == 0 && !has.Has(Administrator) || !has.Has(Permission(bits))) {
		return fmt.Errorf("/%s is not offered to %s", cmd.name(), u.Name)
	}
	return nil
}
