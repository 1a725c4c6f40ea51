package discord

import (
	"context"
	"errors"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// line is the network under a shard's connection. It is listened to from below,
// because the library's own lock may be held for ever: when it was last heard of
// tells a connection that lives from one that is deaf, and it can be cut without
// asking anybody.
type line struct {
	dialer net.Dialer
	heard  atomic.Int64 // Unix nanoseconds

	mu     sync.Mutex
	conn   net.Conn
	refuse bool // who calls gets no line
}

// errNoLine is what a refused call is told.
var errNoLine = errors.New("no line for now")

// dialLimit is how long a network may take to give a line.
const dialLimit = 15 * time.Second

// dial opens the line; it is the dialer of the library's websocket.
func (l *line) dial(ctx context.Context, network, address string) (net.Conn, error) {
	l.mu.Lock()
	refuse := l.refuse
	l.mu.Unlock()
	if refuse {
		return nil, errNoLine
	}
	ctx, stop := context.WithTimeout(ctx, dialLimit)
	defer stop()
	conn, err := l.dialer.DialContext(ctx, network, address)
	if err != nil {
		return nil, err
	}
	l.note()
	l.mu.Lock()
	defer l.mu.Unlock()
	l.conn = conn
	return &heardConn{conn, l}, nil
}

// note takes down that the other end is there.
func (l *line) note() { l.heard.Store(time.Now().UnixNano()) }

// silence is for how long nothing was heard.
func (l *line) silence() time.Duration {
	return time.Since(time.Unix(0, l.heard.Load()))
}

// cut ends the connection without a word. Discord keeps the session for a while
// then; a farewell in due form would end it.
func (l *line) cut() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.conn != nil {
		l.conn.Close() // closed either way
		l.conn = nil
	}
}

// hangUp says whether who calls gets a line. The library asks where to call only
// after it got none.
func (l *line) hangUp(refuse bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.refuse = refuse
}

// heardConn notes when something is read.
type heardConn struct {
	net.Conn
	line *line
}

// Read reads, and notes that something came.
func (c *heardConn) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	if n > 0 {
		c.line.note()
	}
	return n, err
}
