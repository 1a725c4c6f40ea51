package discordtest

import "time"

// appContentLimited is the flag of an application in few servers that has the message content intent switched on
// (resources/application).
const appContentLimited = 1 << 19

func (s *Server) makeApplication() {
	s.bot = s.newUser(s.opts.Name, true)
	flags := 0
	if s.opts.MessageContent {
		flags |= appContentLimited
	}
	s.app = object{
		"id": s.newID(), "name": s.opts.Name, "description": "", "icon": nil, "flags": flags,
		"bot_public": true, "bot_require_code_grant": false, "verify_key": "", "summary": "",
		"bot": s.bot.json(), "integration_types_config": object{"0": object{}},
	}
}

// ApplicationID is the application's id.
func (s *Server) ApplicationID() string {
	id, _ := s.app["id"].(string) // set once in New
	return id
}

func getApplication(c *call) reply { return ok(c.srv.app) }

// applicationOf refuses calls for somebody else's application.
func applicationOf(c *call) (reply, bool) {
	if c.params["application"] != c.srv.app["id"] {
		return unknownApplication, false
	}
	return reply{}, true
}

func getGateway(c *call) reply { return ok(object{"url": c.srv.GatewayURL()}) }

func getGatewayBot(c *call) reply {
	s := c.srv
	return ok(object{
		"url": s.GatewayURL(), "shards": s.opts.Shards,
		"session_start_limit": object{
			"total": s.opts.IdentifyLimit, "remaining": max(0, s.opts.IdentifyLimit-s.gateway.identifies),
			"reset_after": (24 * time.Hour).Milliseconds(), "max_concurrency": s.opts.MaxConcurrency,
		},
	})
}

// stamp is a time as the platform writes it.
func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000-07:00") }
