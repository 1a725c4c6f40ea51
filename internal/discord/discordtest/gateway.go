package discordtest

import (
	"encoding/json"
	"time"
)

// gateway is the state of the platform's event side: sessions and the
// connections that carry them. It is guarded by the server's lock.
type gateway struct {
	sessions   map[string]*session
	conns      map[*conn]bool
	welcomes   []Welcome // for the next connections, in order
	identified map[int]time.Time
	attempts   []time.Time // IDENTIFYs of the past day
	identifies int
	resumes    int
	refusals   int
	opened     int
	beats      int
	changed    chan struct{}
}

func newGateway() gateway {
	return gateway{
		sessions: map[string]*session{}, conns: map[*conn]bool{}, identified: map[int]time.Time{},
		changed: make(chan struct{}),
	}
}

// step wakes those who wait for a connection.
func (g *gateway) step() {
	close(g.changed)
	g.changed = make(chan struct{})
}

// event is something the bot may hear of.
type event struct {
	name    string
	intent  int    // 0 = needs none
	guild   string // "" = a direct message, or no guild's
	data    object
	blanked object // instead of data without the message content intent
}

// session is what READY began: it outlives its connections for a while.
type session struct {
	id       string
	intents  int64
	shard    [2]int
	seq      int64
	log      []dispatched
	conn     *conn // nil while disconnected
	lost     time.Time
	ended    bool
	compress bool
}

type dispatched struct {
	seq  int64
	data []byte
}

// packet is the envelope of all gateway traffic.
type packet struct {
	Op   int             `json:"op"`
	Data json.RawMessage `json:"d"`
	Seq  *int64          `json:"s"`
	Type *string         `json:"t"`
}

// Gateway opcodes (topics/opcodes-and-status-codes).
const (
	opDispatch     = 0
	opHeartbeat    = 1
	opIdentify     = 2
	opPresence     = 3
	opVoiceState   = 4
	opResume       = 6
	opReconnect    = 7
	opMembers      = 8
	opInvalid      = 9
	opHello        = 10
	opHeartbeatACK = 11
)

// dispatch sends an event to every session that may hear of it; one that is
// disconnected gets it when it resumes.
func (s *Server) dispatch(ev event) {
	for _, one := range s.gateway.sessions {
		if one.hears(ev) {
			one.send(ev)
		}
	}
}

// hears applies intents and sharding.
func (ss *session) hears(ev event) bool {
	if ss.ended || ev.intent != 0 && ss.intents&int64(ev.intent) == 0 {
		return false
	}
	return shardOf(ev.guild, ss.shard[1]) == ss.shard[0]
}

// send numbers the event, keeps it for a resume and puts it on the wire.
func (ss *session) send(ev event) {
	body := ev.data
	if ev.blanked != nil && ss.intents&intentMessageContent == 0 {
		body = ev.blanked
	}
	raw, err := json.Marshal(body)
	if err != nil {
		return // the stand-in's own objects always encode
	}
	ss.seq++
	seq, name := ss.seq, ev.name
	line, err := json.Marshal(packet{Op: opDispatch, Data: raw, Seq: &seq, Type: &name})
	if err != nil {
		return
	}
	ss.log = append(ss.log, dispatched{seq, line})
	if ss.conn != nil {
		ss.conn.push(line)
	}
}

// endAll closes all connections with the code.
func (g *gateway) endAll(code int, reason string) {
	for c := range g.conns {
		c.end(code, reason)
	}
}

// cutAll drops all connections without a close frame.
func (g *gateway) cutAll() {
	for c := range g.conns {
		c.cut()
	}
}

// live are the connections that carry a session.
func (g *gateway) live() int {
	n := 0
	for _, one := range g.sessions {
		if one.conn != nil && !one.ended {
			n++
		}
	}
	return n
}
