package gateway

import (
	"context"
	"errors"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// connection is the network under a shard. It is watched below the library, whose
// own lock may be held for ever: when something last came tells a connection that
// lives from one that does not, and it can be cut without asking the library.
type connection struct {
	dialer net.Dialer
	heard  atomic.Int64 // when something last came, in Unix nanoseconds
	asked  atomic.Int64 // when something was sent that nothing has come after yet; 0 for never

	mu     sync.Mutex
	conn   net.Conn
	refuse bool // dials fail
}

// errRefused is the error of a dial that is refused.
var errRefused = errors.New("dials are refused for now")

// dialLimit is how long a dial may take.
const dialLimit = 7 * time.Second

// dial opens the connection; it is the dialer of the library's websocket.
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

// note notes that something came.
func (c *connection) note() {
	c.heard.Store(time.Now().UnixNano())
	c.asked.Store(0)
}

// silence is for how long nothing was heard.
func (c *connection) silence() time.Duration {
	return time.Since(time.Unix(0, c.heard.Load()))
}

// unanswered is for how long nothing came since something was sent; 0 where that was
// answered.
func (c *connection) unanswered() time.Duration {
	if asked := at(&c.asked); !asked.IsZero() {
		return time.Since(asked)
	}
	return 0
}

// cut ends it without a close frame. Discord keeps the session for a while
// then; a close in due form would end it.
func (c *connection) cut() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.conn != nil {
		c.conn.Close() // closed either way
		c.conn = nil
	}
}

// refuseDials says whether dials fail. The library asks where the gateway is only
// after one has failed.
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

// Read reads, and notes that something came.
func (w *watchedConn) Read(p []byte) (int, error) {
	n, err := w.Conn.Read(p)
	if n > 0 {
		w.of.note()
	}
	return n, err
}

// Write writes, and notes that something is to come.
func (w *watchedConn) Write(p []byte) (int, error) {
	w.of.asked.CompareAndSwap(0, time.Now().UnixNano())
	return w.Conn.Write(p)
}
