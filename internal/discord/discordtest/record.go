package discordtest

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"sync"
	"time"
)

// Request is one request the bot made, as kept for tests and for the contract
// check. Nothing in it is secret: the Authorization header is left out and
// interaction tokens are replaced by "token".
type Request struct {
	At         time.Time         `json:"at"`
	Method     string            `json:"method"`
	Path       string            `json:"path"` // without /api/vN
	Version    int               `json:"version"`
	Query      string            `json:"query,omitempty"`
	Header     map[string]string `json:"header,omitempty"`
	Body       json.RawMessage   `json:"body,omitempty"` // the JSON, payload_json of a multipart
	Files      []RecordedFile    `json:"files,omitempty"`
	Status     int               `json:"status"` // 0 = the connection was cut
	Code       int               `json:"code,omitempty"`
	Fault      string            `json:"fault,omitempty"` // what the test made go wrong
	Violations []string          `json:"violations,omitempty"`
}

// RecordedFile is an uploaded file without its bytes.
type RecordedFile struct {
	Field       string `json:"field"`
	Name        string `json:"name"`
	ContentType string `json:"content_type"`
	Size        int    `json:"size"`
}

func newRequest(c *call, at time.Time) *Request {
	r := &Request{At: at, Method: c.method, Path: c.path, Version: c.version, Query: c.query.Encode(),
		Header: map[string]string{}}
	for _, name := range []string{"Content-Type", "User-Agent", "X-Audit-Log-Reason"} {
		if value := c.header.Get(name); value != "" {
			r.Header[name] = value
		}
	}
	if c.header.Get("Authorization") != "" {
		r.Header["Authorization"] = "present"
	}
	if token := c.params["token"]; token != "" {
		r.Path = strings.ReplaceAll(c.path, token, "token")
	}
	return r
}

// book keeps all requests and appends them to a file if asked to.
type book struct {
	mu   sync.Mutex
	all  []Request
	file *os.File
	err  error
}

func (b *book) open(path string) (err error) {
	if path == "" {
		return nil
	}
	b.file, err = os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	return err
}

func (b *book) add(r *Request) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.all = append(b.all, *r)
	if b.file == nil {
		return
	}
	line, err := json.Marshal(r)
	if err == nil {
		_, err = b.file.Write(append(line, '\n')) // one write a line: several processes may append
	}
	if err != nil && b.err == nil {
		b.err = err
	}
}

func (b *book) close() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.file == nil {
		return b.err
	}
	err := b.file.Close()
	b.file = nil
	if b.err != nil {
		err = b.err
	}
	return err
}

// Requests returns the requests so far whose method is method ("" = any) and
// whose path fits pattern, where * stands for one segment ("" = any path).
func (s *Server) Requests(method, pattern string) []Request {
	s.book.mu.Lock()
	defer s.book.mu.Unlock()
	var out []Request
	for _, r := range s.book.all {
		if (method == "" || method == r.Method) && (pattern == "" || pathFits(pattern, r.Path)) {
			out = append(out, r)
		}
	}
	return out
}

// ReadRecord reads a JSON-lines file of requests.
func ReadRecord(path string) ([]Request, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { _ = file.Close() }() // only read
	var out []Request
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 64<<20)
	for n := 1; lines.Scan(); n++ {
		var r Request
		if err := json.Unmarshal(lines.Bytes(), &r); err != nil {
			return nil, fmt.Errorf("%s line %d: %w", path, n, err)
		}
		out = append(out, r)
	}
	return out, lines.Err()
}
