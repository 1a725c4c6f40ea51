package discordtest

import "strings"

// route is one path of the API. In the pattern, {name} stands for one segment.
type route struct {
	method, pattern string
	answer          func(*call) reply
	open            bool // works without Authorization
	exempt          bool // does not count to the global rate limit
}

// routes are all paths the stand-in knows; anything else is a violation, so
// that a bot that needs more is noticed.
func routes() []route {
	all := []route{
		{"GET", "/gateway", getGateway, true, false},
		{"GET", "/gateway/bot", getGatewayBot, false, false},
		{"GET", "/applications/@me", getApplication, false, false},
		{"GET", "/users/@me", getSelf, false, false},
		{"GET", "/users/@me/guilds", getOwnGuilds, false, false},
		{"POST", "/users/@me/channels", openDM, false, false},
		{"GET", "/applications/{application}/commands", listCommands, false, false},
		{"PUT", "/applications/{application}/commands", overwriteCommands, false, false},
		{"GET", "/guilds/{guild}", getGuild, false, false},
		{"GET", "/guilds/{guild}/channels", getGuildChannels, false, false},
		{"GET", "/guilds/{guild}/roles", getRoles, false, false},
		{"GET", "/guilds/{guild}/members/{user}", getMember, false, false},
	}
	all = append(all, channelRoutes()...)
	return append(all, interactionRoutes()...)
}

func channelRoutes() []route {
	return []route{
		{"GET", "/channels/{channel}", getChannel, false, false},
		{"GET", "/channels/{channel}/messages", listMessages, false, false},
		{"POST", "/channels/{channel}/messages", createMessage, false, false},
		{"GET", "/channels/{channel}/messages/{message}", getMessage, false, false},
		{"PATCH", "/channels/{channel}/messages/{message}", editMessage, false, false},
	}
}

func interactionRoutes() []route {
	const hook = "/webhooks/{application}/{token}"
	return []route{
		{"POST", "/interactions/{interaction}/{token}/callback", callback, true, true},
		{"PATCH", hook + "/messages/{message}", editAnswer, true, true},
	}
}

// find returns the route of a path and its parameters; literal segments win
// over parameters. Nil if there is none.
func (s *Server) find(method, path string) (*route, map[string]string) {
	got := strings.Split(path, "/")
	var best *route
	var params map[string]string
	for i := range s.routes {
		r := &s.routes[i]
		if r.method != method {
			continue
		}
		found, fits := bind(strings.Split(r.pattern, "/"), got)
		if fits && (best == nil || len(found) < len(params)) {
			best, params = r, found
		}
	}
	return best, params
}

func bind(pattern, got []string) (map[string]string, bool) {
	if len(pattern) != len(got) {
		return nil, false
	}
	params := map[string]string{}
	for i, part := range pattern {
		if strings.HasPrefix(part, "{") {
			params[strings.Trim(part, "{}")] = got[i]
		} else if part != got[i] {
			return nil, false
		}
	}
	return params, true
}
