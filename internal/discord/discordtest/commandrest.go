package discordtest

import (
	"reflect"
	"slices"
	"time"
)

// command is a registered application command. All of them are global.
type command struct {
	id, version string
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
	return out
}

func listCommands(c *call) reply {
	if bad, fine := applicationOf(c); !fine {
		return bad
	}
	out := []any{}
	for _, cmd := range c.srv.commands {
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

// overwriteCommands replaces all commands of all types. Those that stay as they were keep their id and version.
func overwriteCommands(c *call) reply {
	if bad, fine := applicationOf(c); !fine {
		return bad
	}
	f := newForm(object{"commands": list(c.list)})
	next := []*command{}
	counts, seen := map[int64]int{}, map[any]bool{}
	for _, one := range f.forms("commands", 0, maxChatCommands+2*maxContextCommands) {
		one.path = one.path[1:] // the platform counts from the top: errors.0.name
		body := readCommand(one)
		key := [2]any{body["type"], body["name"]}
		if seen[key] {
			one.fail("name", "APPLICATION_COMMANDS_DUPLICATE_NAME", "Application command names must be unique")
		}
		seen[key] = true
		counts[kindOf(body)]++
		next = append(next, c.srv.prepare(body))
	}
	if bad, fine := c.check(f); !fine {
		return bad
	}
	if counts[chatCommand] > maxChatCommands || counts[userCommand] > maxContextCommands ||
		counts[messageCommand] > maxContextCommands {
		return c.breach(tooManyCommands)
	}
	if bad, fine := c.mayCreate(next); !fine {
		return bad
	}
	c.srv.commands = next
	out := []object{}
	for _, cmd := range next {
		out = append(out, cmd.json(c.srv.app["id"]))
	}
	return ok(out)
}

// prepare makes the command of a checked body: the old one if nothing changed,
// the old id with a new version if something did, a new one otherwise.
func (s *Server) prepare(body object) *command {
	for _, old := range s.commands {
		switch {
		case old.body["name"] != body["name"] || old.body["type"] != body["type"]:
		case reflect.DeepEqual(old.body, body):
			return old
		default:
			return &command{id: old.id, version: s.newID(), body: body}
		}
	}
	return &command{id: s.newID(), version: s.newID(), body: body}
}

// mayCreate counts creations: 200 a day. Changes do not count.
func (c *call) mayCreate(next []*command) (reply, bool) {
	s, now := c.srv, c.srv.Clock.Now()
	times := since(s.creates, now.Add(-24*time.Hour))
	for _, cmd := range next {
		if !slices.ContainsFunc(s.commands, func(old *command) bool { return old.id == cmd.id }) {
			times = append(times, now)
		}
	}
	if len(times) > maxDailyCreates {
		return c.breach(tooManyCreates), false
	}
	s.creates = times
	return reply{}, true
}
