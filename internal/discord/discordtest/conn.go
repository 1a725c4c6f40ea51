package discordtest

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"net/http"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// compressFrom is the size from which payloads are compressed for a client
// that asked for it. The platform compresses some; which, it does not say.
const compressFrom = 512

// closeGrace is how long a client may take to close after the server's close
// frame. Assumption.
const closeGrace = 2 * time.Second

// conn is one WebSocket connection of the bot.
type conn struct {
	srv      *Server
	ws       *websocket.Conn
	out      *outbox
	session  *session
	welcome  Welcome
	version  string
	compress bool
	silent   bool        // nothing more is sent: a dead connection that looks alive
	deaf     bool        // heartbeats are not acknowledged
	over     bool        // the server has ended it: what the client says no longer counts
	ready    bool        // identified or resumed
	invalid  bool        // op 9 was sent: IDENTIFY may come again at once
	got      []time.Time // payloads from the client
}

// outbox writes to the socket in order without making the sender wait.
type outbox struct {
	mu    sync.Mutex
	wake  *sync.Cond
	queue []frame
	done  bool
}

type frame struct {
	kind int
	data []byte
}

func newOutbox(ws *websocket.Conn) *outbox {
	o := &outbox{}
	o.wake = sync.NewCond(&o.mu)
	go o.run(ws)
	return o
}

func (o *outbox) put(kind int, data []byte) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if !o.done {
		o.queue = append(o.queue, frame{kind, data})
		o.wake.Signal()
	}
}

func (o *outbox) stop() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.done = true
	o.wake.Signal()
}

// run writes until stopped or the socket fails; a close frame is the last.
func (o *outbox) run(ws *websocket.Conn) {
	for {
		o.mu.Lock()
		for len(o.queue) == 0 && !o.done {
			o.wake.Wait()
		}
		if o.done {
			o.mu.Unlock()
			return
		}
		next := o.queue[0]
		o.queue = o.queue[1:]
		o.mu.Unlock()
		switch {
		case next.kind == 0: // cut
			_ = ws.UnderlyingConn().Close()
			o.stop()
			return
		case ws.WriteMessage(next.kind, next.data) != nil:
			o.stop()
			return
		case next.kind == websocket.CloseMessage:
			_ = ws.SetReadDeadline(time.Now().Add(closeGrace)) // a client that does not close is cut
			o.stop()
			return
		}
	}
}

// push sends a payload, compressed when the client asked for it.
func (c *conn) push(line []byte) {
	if c.silent {
		return
	}
	if !c.compress || len(line) < compressFrom {
		c.out.put(websocket.TextMessage, line)
		return
	}
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	_, _ = z.Write(line) // a buffer takes all
	_ = z.Close()
	c.out.put(websocket.BinaryMessage, packed.Bytes())
}

// tell sends a payload that is no event.
func (c *conn) tell(op int, data any) {
	raw, err := json.Marshal(data)
	if err != nil {
		return // the stand-in's own objects always encode
	}
	line, err := json.Marshal(packet{Op: op, Data: raw})
	if err == nil {
		c.push(line)
	}
}

// end closes the connection with a code. The session survives unless the code
// says that the client must start a new one or may not come back.
func (c *conn) end(code int, reason string) {
	if c.session != nil && (code == 4007 || code == 4009 || code == 4003 || code == 4004 || code >= 4010) {
		c.session.ended = true
	}
	c.over = true
	c.release()
	c.out.put(websocket.CloseMessage, websocket.FormatCloseMessage(code, reason))
}

// cut drops the connection as a broken network does.
func (c *conn) cut() {
	c.over = true
	c.release()
	c.out.stop()
	_ = c.ws.UnderlyingConn().Close() // cut either way
}

// release separates the connection from its session.
func (c *conn) release() {
	if c.session != nil && c.session.conn == c {
		c.session.conn, c.session.lost = nil, c.srv.Clock.Now()
	}
	delete(c.srv.gateway.conns, c)
	c.ready = false
	c.srv.gateway.step()
}

func (s *Server) serveGateway(w http.ResponseWriter, r *http.Request) {
	upgrader := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	ws, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return // the upgrader has answered
	}
	q := r.URL.Query()
	c := &conn{srv: s, ws: ws, out: newOutbox(ws), version: q.Get("v")}
	if q.Get("encoding") != "json" || q.Get("compress") != "" {
		s.violations.add("gateway", "the stand-in speaks JSON without transport compression only: %q", r.URL.RawQuery)
	}
	s.mu.Lock()
	s.gateway.conns[c] = true
	s.gateway.opened++
	if w := s.gateway.welcomes; len(w) > 0 {
		c.welcome, s.gateway.welcomes = w[0], w[1:]
	}
	c.greet()
	s.mu.Unlock()
	c.listen()
}

// greet says HELLO, or what the test put in its place.
func (c *conn) greet() {
	switch {
	case c.welcome.noHello:
		return
	case c.welcome.insteadOfHello:
		c.tell(opReconnect, nil)
		return
	}
	c.tell(opHello, object{"heartbeat_interval": c.srv.opts.Heartbeat.Milliseconds()})
}

// listen reads until the connection ends; a client that sends nothing, not even
// heartbeats, for deafAfterBeats intervals is dropped.
func (c *conn) listen() {
	deaf := time.AfterFunc(deafAfterBeats*c.srv.opts.Heartbeat, c.hangUpOnDeaf)
	defer deaf.Stop()
	for {
		_, raw, err := c.ws.ReadMessage()
		if err != nil {
			c.closed(err)
			return
		}
		c.srv.mu.Lock()
		c.take(raw)
		c.srv.mu.Unlock()
		deaf.Reset(deafAfterBeats * c.srv.opts.Heartbeat)
	}
}

func (c *conn) hangUpOnDeaf() {
	c.srv.mu.Lock()
	defer c.srv.mu.Unlock()
	if !c.over {
		c.end(4009, "Session timed out.")
	}
}

// closed handles the end of the connection. A client that closes with 1000 or
// 1001 gives up its session.
func (c *conn) closed(err error) {
	c.srv.mu.Lock()
	defer c.srv.mu.Unlock()
	if !c.over && websocket.IsCloseError(err, websocket.CloseNormalClosure, websocket.CloseGoingAway) &&
		c.session != nil {
		c.session.ended = true
	}
	c.release()
	c.out.stop()
	_ = c.ws.Close() // it is over either way
}
