package discordtest

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// call is one request to the platform while it is being answered.
type call struct {
	srv     *Server
	method  string
	path    string // without /api/vN
	version int
	route   *route
	params  map[string]string
	query   url.Values
	header  http.Header
	raw     []byte
	body    object // the JSON object, payload_json of a multipart
	list    []any  // when the body is a JSON array
	files   []*file
	record  *Request
	under   []string // where in the body the message stands: "data" in a callback
}

// agentForm is the documented form of User-Agent (reference, user agent).
var agentForm = regexp.MustCompile(`^DiscordBot \(\S+, v?[0-9][^)]*\)`)

var apiPath = regexp.MustCompile(`^/api(?:/v([0-9]+))?(/.*)$`)

// violate notes a breach by this request.
func (c *call) violate(format string, args ...any) {
	one := c.srv.violations.add(c.method+" "+c.record.Path, format, args...)
	c.record.Violations = append(c.record.Violations, one.Detail)
}

// form reads an object that is in the body at c.under.
func (c *call) form(data object) form {
	f := newForm(data)
	f.path = c.under
	return f
}

// check returns the 50035 answer, and notes the breaches, if the form failed.
func (c *call) check(f form) (reply, bool) {
	for _, e := range *f.errs {
		c.violate("%s", e)
	}
	return invalidForm(*f.errs), !f.failed()
}

// breach notes a breach and returns the answer.
func (c *call) breach(r reply) reply {
	c.violate("%s", r.refusal())
	return r
}

func (s *Server) serveCall(w http.ResponseWriter, r *http.Request) {
	c := &call{srv: s, method: r.Method, query: r.URL.Query(), header: r.Header}
	parts := apiPath.FindStringSubmatch(r.URL.EscapedPath())
	c.path = r.URL.EscapedPath()
	if parts != nil {
		c.path = parts[2]
		c.version, _ = strconv.Atoi(parts[1]) // "" = the default version, 0 here
	}
	c.route, c.params = s.find(c.method, c.path)
	c.record = newRequest(c, s.Clock.Now())
	defer func() { s.book.add(c.record) }()

	if err := c.read(r); err != nil {
		c.record.Fault = err.Error()
		if errors.Is(err, errTooLarge) {
			c.finish(w, c.breach(tooLarge))
		}
		return
	}
	unread := c.parse() // before any fault, so that the record has the body
	f := s.faults.take(c.method, c.path)
	c.record.Fault = f.describe()
	if f.cut(w) || !pause(r, f.hold) {
		return
	}
	answer := f.answer(s, c)
	if answer.status == 0 {
		answer = c.answer(parts != nil, unread)
	}
	if f.lost {
		hangUp(w)
		return
	}
	if pause(r, f.delay) {
		c.finish(w, answer)
	}
}

func (c *call) finish(w http.ResponseWriter, answer reply) {
	c.record.Status, c.record.Code = answer.status, answer.code
	c.srv.limiter.count(answer, c.srv.Clock.Now())
	answer.send(w)
}

// pause waits; false when the client hung up meanwhile.
func pause(r *http.Request, d time.Duration) bool {
	if d <= 0 {
		return true
	}
	select {
	case <-time.After(d):
		return true
	case <-r.Context().Done():
		return false
	}
}

// errTooLarge means a body above what the platform accepts.
var errTooLarge = errors.New("body too large")

// read reads the body. It reads a body that is too large to its end, so that the
// client gets to read the refusal.
func (c *call) read(r *http.Request) error {
	raw, err := io.ReadAll(io.LimitReader(r.Body, maxBodyBytes+1))
	if err != nil {
		return err
	}
	if len(raw) > maxBodyBytes {
		_, _ = io.Copy(io.Discard, r.Body) // a client that hangs up gets no answer
		return errTooLarge
	}
	c.raw = raw
	return nil
}

// answer goes through the platform's gates in order, then to the route.
func (c *call) answer(underAPI bool, unread reply) reply {
	if gate := c.gates(underAPI); gate.status != 0 {
		return gate
	}
	if unread.status != 0 {
		return c.breach(unread)
	}
	c.srv.mu.Lock()
	defer c.srv.mu.Unlock()
	answer := c.route.answer(c).frozen()
	return c.srv.limiter.label(answer, c, c.srv)
}

func (c *call) gates(underAPI bool) reply {
	s := c.srv
	switch {
	case s.limiter.banned(s.opts.InvalidLimit, s.Clock.Now()):
		return plain(http.StatusForbidden)
	case !agentForm.MatchString(c.header.Get("User-Agent")):
		c.violate("User-Agent %q is not of the form DiscordBot (url, version)", c.header.Get("User-Agent"))
		return blockedAgent
	case !underAPI || c.version != 9 && c.version != 10:
		c.violate("API version %d: only 9 and 10 are in service", c.version)
		return badVersion
	case c.route == nil:
		c.violate("the stand-in knows no such route")
		return notFound
	}
	if !c.route.open && !c.authorized() {
		return unauthorized
	}
	return s.limiter.pass(c)
}

func (c *call) authorized() bool {
	return c.header.Get("Authorization") == "Bot "+c.srv.Token()
}

// parse reads the body as what Content-Type says.
func (c *call) parse() reply {
	kind, _, _ := strings.Cut(c.header.Get("Content-Type"), ";")
	switch {
	case len(c.raw) == 0 && kind != "" && c.method != http.MethodGet:
		return refuse(400, 50109, "Content-Type "+kind+" without a body")
	case len(c.raw) == 0:
		return reply{}
	case kind == "application/json":
		return c.parseJSON(c.raw)
	case kind == "multipart/form-data":
		return c.parseParts()
	}
	return refuse(400, 50035, "Invalid Content-Type "+kind)
}

func (c *call) parseJSON(raw []byte) reply {
	decoder := json.NewDecoder(bytes.NewReader(raw))
	decoder.UseNumber()
	var v any
	if decoder.Decode(&v) != nil || !errors.Is(decoder.Decode(&struct{}{}), io.EOF) {
		return badJSON
	}
	switch v := v.(type) {
	case object:
		c.body = v
	case []any:
		c.list = v
	case nil:
	default:
		return badJSON
	}
	c.record.Body = json.RawMessage(raw)
	return reply{}
}
