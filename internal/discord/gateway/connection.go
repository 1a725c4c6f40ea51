package gateway

import (
	"context"
	"errors"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// connection is the network connection of a shard. It is watched below discordgo, whose lock may be held for ever: when
// something last arrived shows whether the connection is alive, and it can be cut without discordgo.
type connection struct {
	dialer net.Dialer
	heard  atomic.Int64 // when something last arrived, in Unix nanoseconds
	asked  atomic.Int64 // when the first thing was sent since then; 0 for nothing

	mu     sync.Mutex
	conn   net.Conn
	refuse bool // dials fail
}

// errRefused is the error of a dial that is refused.
var errRefused = errors.New("dials are refused for now")

// dialLimit is how long a dial may take.
const dialLimit = 7 * time.Second

// dial opens the connection, for discordgo's websocket.
func (c *connection) dial(ctx context.Context, network, address string) (net.Conn, error) {
	c.mu.Lock()
	refuse := c.refuse
	c.mu.Unlock()
	if refuse {
		return nil, errRefused
	}
	ctx, stop := context.WithTimeout(ctx, dialLimit)
	defer stop()
	conn, err := c.dialer.DialContext(ctx, network, address)
	if err != nil {
		return nil, err
	}
	c.note()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.conn = conn
	return &watchedConn{conn, c}, nil
}

// note notes that something arrived.
func (c *connection) note() {
	c.heard.Store(time.Now().UnixNano())
	c.asked.Store(0)
}

// silence is how long nothing has arrived.
func (c *connection) silence() time.Duration {
	return time.Since(time.Unix(0, c.heard.Load()))
}

// unanswered is how long nothing has arrived since something was sent; 0 if something has.
func (c *connection) unanswered() time.Duration {
	if asked := at(&c.asked); !asked.IsZero() {
		return time.Since(asked)
	}
	return 0
}

// cut closes the connection without a close frame. Discord then keeps the session for a while; a close frame would end
// it.
func (c *connection) cut() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.conn != nil {
		c.conn.Close() // an error changes nothing
		c.conn = nil
	}
}

// refuseDials sets whether dials fail. discordgo asks for the gateway's address only after a failed dial.
func (c *connection) refuseDials(refuse bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.refuse = refuse
}

// watchedConn notes when something is read or written.
type watchedConn struct {
	net.Conn
	of *connection
}

// Read notes that something arrived.
func (w *watchedConn) Read(p []byte) (int, error) {
	n, err := w.Conn.Read(p)
	if n > 0 {
		w.of.note()
	}
	return n, err
}

// Write notes that an answer is expected.
func (w *watchedConn) Write(p []byte) (int, error) {
	w.of.asked.CompareAndSwap(0, time.Now().UnixNano())
	return w.Conn.Write(p)
}
