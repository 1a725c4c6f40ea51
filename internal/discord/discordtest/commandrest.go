package discordtest

import (
	"reflect"
	"time"
)

// command is a registered application command.
type command struct {
	id, version string
	guild       string // "" = global
	body        object
}

func (cmd *command) name() string {
	name, _ := cmd.body["name"].(string)
	return name
}

func (cmd *command) json(appID any) object {
	out := object{"id": cmd.id, "application_id": appID, "version": cmd.version}
	for key, value := range cmd.body {
		out[key] = value
	}
	if cmd.guild != "" {
		out["guild_id"] = cmd.guild
	}
	return out
}

// scopeOf checks the path's application and guild; commands of a guild the bot
// is not in cannot be touched.
func scopeOf(c *call) (string, reply, bool) {
	if bad, fine := applicationOf(c); !fine {
		return "", bad, false
	}
	if c.params["guild"] == "" {
		return "", reply{}, true
	}
	g, bad := guildOf(c)
	if g == nil {
		return "", bad, false
	}
	return g.ID, reply{}, true
}

func (s *Server) command(scope, id string) *command {
	for _, cmd := range s.commands[scope] {
		if cmd.id == id {
			return cmd
		}
	}
	return nil
}

func (s *Server) sameCommand(scope string, body object) *command {
	for _, cmd := range s.commands[scope] {
		if cmd.body["name"] == body["name"] && cmd.body["type"] == body["type"] {
			return cmd
		}
	}
	return nil
}

func listCommands(c *call) reply {
	scope, bad, fine := scopeOf(c)
	if !fine {
		return bad
	}
	out := []any{}
	for _, cmd := range c.srv.commands[scope] {
		var one any = cmd.json(c.srv.app["id"])
		if c.query.Get("with_localizations") != "true" {
			one = withoutTranslations(one)
		}
		out = append(out, one)
	}
	return ok(out)
}

// withoutTranslations copies a declaration without its translations, those of
// options and choices too.
func withoutTranslations(v any) any {
	switch v := v.(type) {
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = withoutTranslations(v[i])
		}
		return out
	case object:
		out := object{}
		for key, value := range v {
			if key != "name_localizations" && key != "description_localizations" {
				out[key] = withoutTranslations(value)
			}
		}
		return out
	}
	return v
}

// overwriteCommands replaces all commands of a scope, of all types. Commands
// that stay as they were keep their id and version.
func overwriteCommands(c *call) reply {
	scope, bad, fine := scopeOf(c)
	if !fine {
		return bad
	}
	f := newForm(object{"commands": list(c.list)})
	next := []*command{}
	counts, seen := map[int64]int{}, map[any]bool{}
	for _, one := range f.forms("commands", 0, maxChatCommands+2*maxContextCommands) {
		one.path = one.path[1:] // the platform counts from the top: errors.0.name
		body := readCommand(one, scope == "")
		key := [2]any{body["type"], body["name"]}
		if seen[key] {
			one.fail("name", "APPLICATION_COMMANDS_DUPLICATE_NAME", "Application command names must be unique")
		}
		seen[key] = true
		counts[kindOf(body)]++
		next = append(next, c.srv.prepare(scope, body))
	}
	if bad, fine := c.check(f); !fine {
		return bad
	}
	if counts[chatCommand] > maxChatCommands || counts[userCommand] > maxContextCommands ||
		counts[messageCommand] > maxContextCommands {
		return c.breach(tooManyCommands)
	}
	if bad, fine := c.mayCreate(scope, next); !fine {
		return bad
	}
	c.srv.commands[scope] = next
	out := []object{}
	for _, cmd := range next {
		out = append(out, cmd.json(c.srv.app["id"]))
	}
	return ok(out)
}

// prepare makes the command of a checked body: the old one if nothing changed,
// the old id with a new version if something did, a new one otherwise.
func (s *Server) prepare(scope string, body object) *command {
	old := s.sameCommand(scope, body)
	switch {
	case old == nil:
		return &command{id: s.newID(), version: s.newID(), guild: scope, body: body}
	case reflect.DeepEqual(old.body, body):
		return old
	}
	return &command{id: old.id, version: s.newID(), guild: scope, body: body}
}

// mayCreate counts creations: 200 a day and guild. Changes do not count.
func (c *call) mayCreate(scope string, next []*command) (reply, bool) {
	s, now := c.srv, c.srv.Clock.Now()
	times := since(s.creates[scope], now.Add(-24*time.Hour))
	for _, cmd := range next {
		if s.command(scope, cmd.id) == nil {
			times = append(times, now)
		}
	}
	if len(times) > maxDailyCreates {
		return c.breach(tooManyCreates), false
	}
	s.creates[scope] = times
	return reply{}, true
}
