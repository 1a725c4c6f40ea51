package discordtest

import (
	"fmt"
	"regexp"
	"slices"
)

// audience is whom a message notifies.
type audience struct {
	users    []*User
	roles    []*Role
	everyone bool
}

// names are the notified, as a person would write them.
func (a audience) names() []string {
	var out []string
	for _, u := range a.users {
		out = append(out, "@"+u.Name)
	}
	for _, r := range a.roles {
		out = append(out, "@"+r.Name)
	}
	if a.everyone {
		out = append(out, "@everyone")
	}
	return out
}

// unasked are those of them who have not agreed to it.
func (a audience) unasked() audience {
	a.users = slices.DeleteFunc(slices.Clone(a.users), func(u *User) bool { return u.agreed })
	return a
}

// allowance is what allowed_mentions permits to notify.
type allowance struct {
	given                  bool // said in the request
	users, roles, everyone bool
	userIDs, roleIDs       []string
	replied                bool
}

// Defaults when allowed_mentions is absent (resources/message): a channel
// message notifies all it names, an answer to an interaction users only.
var (
	allowAll   = allowance{users: true, roles: true, everyone: true, replied: true}
	allowUsers = allowance{users: true}
)

// readAllowance checks allowed_mentions and returns what it permits.
func readAllowance(f form, standard allowance) allowance {
	m, there := f.sub("allowed_mentions")
	if !there {
		return standard
	}
	a := allowance{given: true, replied: m.yes("replied_user")}
	for _, one := range m.list("parse", 0, 3) {
		switch one {
		case "users":
			a.users = true
		case "roles":
			a.roles = true
		case "everyone":
			a.everyone = true
		default:
			m.fail("parse", "BASE_TYPE_CHOICES", "Value must be one of {'users', 'roles', 'everyone'}.")
		}
	}
	a.userIDs, a.roleIDs = m.mentionIDs("users", a.users), m.mentionIDs("roles", a.roles)
	return a
}

func (f form) mentionIDs(key string, parsed bool) []string {
	var out []string
	for _, one := range f.list(key, 0, maxMentionIDs) {
		id := fmt.Sprint(one)
		if !snowflake(id) {
			f.fail(key, "NUMBER_TYPE_COERCE", "Value %q is not snowflake.", id)
		}
		out = append(out, id)
	}
	if parsed && len(out) > 0 {
		f.fail("", "MESSAGE_ALLOWED_MENTIONS_PARSE_EXCLUSIVE",
			"parse:[%q] and %s: [ids...] are mutually exclusive.", key, key)
	}
	return out
}

var mentionForm = regexp.MustCompile(`<@(&|!)?([0-9]+)>|@everyone|@here`)

// notified works out whom text notifies in a channel under an allowance.
func (s *Server) notified(text string, ch *Channel, a allowance, mayEveryone bool) audience {
	var out audience
	for _, m := range mentionForm.FindAllStringSubmatch(text, -1) {
		switch {
		case m[2] == "":
			out.everyone = out.everyone || a.everyone && mayEveryone
		case m[1] == "&":
			if r := ch.role(m[2]); r != nil && (a.roles || slices.Contains(a.roleIDs, r.ID)) &&
				!slices.Contains(out.roles, r) {
				out.roles = append(out.roles, r)
			}
		default:
			if u := s.users[m[2]]; u != nil && (a.users || slices.Contains(a.userIDs, u.ID)) &&
				!slices.Contains(out.users, u) {
				out.users = append(out.users, u)
			}
		}
	}
	return out
}

func (ch *Channel) role(id string) *Role {
	if ch.guild == nil {
		return nil
	}
	for _, r := range ch.guild.roles {
		if r.ID == id {
			return r
		}
	}
	return nil
}
