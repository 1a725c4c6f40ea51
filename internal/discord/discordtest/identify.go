package discordtest

import (
	"encoding/json"
	"strings"
	"time"
)

// take handles one payload of the client.
func (c *conn) take(raw []byte) {
	if c.over {
		return
	}
	now := c.srv.Clock.Now()
	c.got = append(since(c.got, now.Add(-eventWindow)), now)
	var p packet
	switch {
	case len(raw) > largestPayload:
		c.fault(4002, "a payload of %d bytes; the limit is %d", len(raw), largestPayload)
		return
	case json.Unmarshal(raw, &p) != nil:
		c.fault(4002, "a payload that is not JSON")
		return
	case len(c.got) > eventsPerWindow:
		c.fault(4008, "more than %d payloads in %s", eventsPerWindow, eventWindow)
		return
	}
	switch {
	case p.Op == opHeartbeat:
		c.beat()
	case p.Op == opIdentify && c.ready:
		c.fault(4005, "IDENTIFY on a connection that has a session")
	case p.Op == opIdentify:
		c.identify(p.Data)
	case p.Op == opResume:
		c.resume(p.Data)
	case !c.ready:
		c.fault(4003, "op %d before IDENTIFY", p.Op)
	case p.Op == opPresence || p.Op == opVoiceState:
	case p.Op == opMembers:
		c.srv.violations.add("gateway", "the stand-in does not simulate op %d, request guild members", p.Op)
	default:
		c.fault(4001, "unknown op %d", p.Op)
	}
}

// fault notes a breach and closes the connection with its code.
func (c *conn) fault(code int, format string, args ...any) {
	one := c.srv.violations.add("gateway", format, args...)
	c.end(code, one.Detail)
}

func (c *conn) beat() {
	c.srv.gateway.beats++
	if !c.deaf {
		c.tell(opHeartbeatACK, nil)
	}
}

// identity is the data of IDENTIFY.
type identity struct {
	Token      string         `json:"token"`
	Intents    *int64         `json:"intents"`
	Properties map[string]any `json:"properties"`
	Compress   bool           `json:"compress"`
	Threshold  int            `json:"large_threshold"`
	Shard      *[2]int        `json:"shard"`
}

// identify begins a session, if the client's IDENTIFY is valid.
func (c *conn) identify(raw json.RawMessage) {
	s, g := c.srv, &c.srv.gateway
	var id identity
	if json.Unmarshal(raw, &id) != nil {
		c.fault(4002, "IDENTIFY that cannot be read")
		return
	}
	g.identifies++
	g.attempts = append(since(g.attempts, s.Clock.Now().Add(-24*time.Hour)), s.Clock.Now())
	if len(g.attempts) > s.opts.IdentifyLimit {
		s.violations.add("gateway", "more than %d IDENTIFYs in a day: the token is reset", s.opts.IdentifyLimit)
		s.token = newToken()
	}
	if strings.TrimPrefix(id.Token, "Bot ") != s.token {
		g.refusals++
		c.end(4004, "Authentication failed.")
		return
	}
	shard := [2]int{0, 1}
	if id.Shard != nil {
		shard = *id.Shard
	}
	if !c.proper(id, shard) || c.tooSoon(shard[0]) || c.welcomed(nil) {
		return
	}
	ss := &session{id: newToken()[:32], intents: *id.Intents, shard: shard, conn: c, compress: id.Compress}
	g.sessions[ss.id] = ss
	c.session, c.ready, c.compress = ss, true, id.Compress
	c.begin(ss, shard)
	g.step()
}

// proper checks the rest of IDENTIFY (events/gateway-events).
func (c *conn) proper(id identity, shard [2]int) bool {
	allowed := int64(intentsKnown &^ intentPrivileged)
	if c.srv.opts.MessageContent {
		allowed |= intentMessageContent
	}
	switch {
	case c.version != "9" && c.version != "10":
		c.fault(4012, "gateway version %q", c.version)
	case id.Intents == nil || len(id.Properties) == 0:
		c.fault(4002, "IDENTIFY without intents or properties")
	case id.Threshold != 0 && (id.Threshold < 50 || id.Threshold > 250):
		c.fault(4002, "large_threshold %d is not from 50 to 250", id.Threshold)
	case *id.Intents&^intentsKnown != 0:
		c.fault(4013, "invalid intents %d", *id.Intents)
	case *id.Intents&^allowed != 0:
		c.srv.gateway.refusals++ // a setting of the portal, not the bot's doing
		c.end(4014, "Disallowed intent(s).")
	case shard[1] < 1 || shard[0] < 0 || shard[0] >= shard[1]:
		c.fault(4010, "invalid shard %v", shard)
	case c.srv.guildsOn(shard) > c.srv.opts.GuildsPerShard:
		c.fault(4011, "more than %d guilds on a shard", c.srv.opts.GuildsPerShard)
	default:
		return true
	}
	return false
}

// tooSoon reports whether an IDENTIFY comes too early: one per bucket and five seconds is allowed. After
// an op 9 the client may identify again at once: libraries do so on the same
// connection.
func (c *conn) tooSoon(shard int) bool {
	s, now := c.srv, c.srv.Clock.Now()
	bucket := shard % s.opts.MaxConcurrency
	last, there := s.gateway.identified[bucket]
	s.gateway.identified[bucket] = now
	if !there || c.invalid || now.Sub(last) >= s.opts.IdentifySpacing {
		return false
	}
	s.violations.add("gateway", "IDENTIFY %s after the last one of its bucket; %s apart are asked for",
		now.Sub(last).Round(time.Millisecond), s.opts.IdentifySpacing)
	c.invalid = true
	c.tell(opInvalid, false)
	return true
}

// begin sends READY and one GUILD_CREATE per guild.
func (c *conn) begin(ss *session, shard [2]int) {
	guilds := []object{}
	for _, g := range c.srv.guildOrder {
		if g.member && shardOf(g.ID, shard[1]) == shard[0] {
			guilds = append(guilds, object{"id": g.ID, "unavailable": true})
		}
	}
	s := c.srv
	ss.send(event{name: "READY", data: object{
		"v": 9, "user": s.bot.json(), "guilds": guilds, "session_id": ss.id, "session_type": "normal",
		"resume_gateway_url": s.GatewayURL(), "shard": []int{shard[0], shard[1]},
		"application":      object{"id": s.app["id"], "flags": s.app["flags"]},
		"private_channels": []any{}, "relationships": []any{}, "presences": []any{}, "user_settings": object{},
	}})
	for _, g := range s.guildOrder {
		ev := g.createEvent()
		if g.member && !g.unavailable && ss.hears(ev) {
			ss.send(ev)
		}
	}
}

// resumption is the data of RESUME.
type resumption struct {
	Token     string `json:"token"`
	SessionID string `json:"session_id"`
	Seq       int64  `json:"seq"`
}

// resume resumes a session: the events that were missed come first, in order,
// then RESUMED.
func (c *conn) resume(raw json.RawMessage) {
	s, g := c.srv, &c.srv.gateway
	var r resumption
	if json.Unmarshal(raw, &r) != nil {
		c.fault(4002, "RESUME that cannot be read")
		return
	}
	if strings.TrimPrefix(r.Token, "Bot ") != s.token {
		g.refusals++
		c.end(4004, "Authentication failed.")
		return
	}
	ss := g.sessions[r.SessionID]
	if c.welcomed(ss) {
		return
	}
	if ss == nil || ss.ended || ss.conn == nil && s.Clock.Now().Sub(ss.lost) > assumedResumeWindow {
		c.invalid = true
		c.tell(opInvalid, false)
		return
	}
	if r.Seq > ss.seq {
		ss.ended = true
		c.end(4007, "Invalid seq.")
		return
	}
	if old := ss.conn; old != nil && old != c {
		old.cut() // the session moves to the new connection
	}
	g.resumes++
	c.takeUp(ss, r.Seq)
	g.step()
}

// takeUp sends the events after seq, then RESUMED.
func (c *conn) takeUp(ss *session, seq int64) {
	c.session, c.ready, c.compress, ss.conn = ss, true, ss.compress, c
	for _, missed := range ss.log {
		if missed.seq > seq {
			c.push(missed.data)
		}
	}
	ss.send(event{name: "RESUMED", data: object{}})
}

// guildsOn counts the guilds of a shard.
func (s *Server) guildsOn(shard [2]int) int {
	n := 0
	for _, g := range s.guildOrder {
		if g.member && shardOf(g.ID, max(1, shard[1])) == shard[0] {
			n++
		}
	}
	return n
}
