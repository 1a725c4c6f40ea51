package discordtest

import (
	"context"
	"errors"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// Server is the stand-in: one application on an invented platform, reachable
// over HTTP and WebSocket on loopback.
type Server struct {
	Clock Clock // the platform's time

	tb         testing.TB
	opts       Options
	addr       string
	ids        snowflakes
	violations violations
	book       book
	faults     faults
	limiter    limiter
	routes     []route

	mu           sync.Mutex // guards everything below
	web          *http.Server
	token        string
	bot          *User
	app          object
	users        map[string]*User
	guilds       map[string]*Guild
	guildOrder   []*Guild
	channels     map[string]*Channel
	messages     map[string]*message
	files        map[string]*file
	commands     []*command
	creates      []time.Time             // of commands
	interactions map[string]*interaction // by token
	gateway      gateway
}

// New starts a stand-in that ends with the test. Violations of the platform's
// rules that the test did not expect fail the test then.
func New(tb testing.TB, options ...Options) *Server {
	tb.Helper()
	var o Options
	for _, o = range options {
		break
	}
	s := &Server{
		tb: tb, opts: o.withDefaults(),
		users: map[string]*User{}, guilds: map[string]*Guild{}, channels: map[string]*Channel{},
		messages: map[string]*message{}, files: map[string]*file{}, interactions: map[string]*interaction{},
	}
	s.token = "standin." + newToken() // another one for each stand-in, so that no bot reaches the wrong one
	s.routes = routes()
	s.makeApplication()
	s.gateway = newGateway()
	if err := s.book.open(s.opts.Record); err != nil {
		tb.Fatalf("the record of requests cannot be written: %v", err)
	}
	if err := s.listen("127.0.0.1:0"); err != nil {
		tb.Fatalf("the stand-in cannot listen: %v", err)
	}
	tb.Cleanup(s.close)
	return s
}

// URL is the address that takes the place of https://discord.com: REST paths
// follow it with /api/v9/… or /api/v10/….
func (s *Server) URL() string { return "http://" + s.addr }

// GatewayURL is what GET /gateway answers.
func (s *Server) GatewayURL() string { return "ws://" + s.addr }

// Token is the token that works, without "Bot ".
func (s *Server) Token() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.token
}

// ResetToken makes token the only one that works, as when somebody presses
// "reset token" in the portal. Open connections are closed with 4004.
func (s *Server) ResetToken(token string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.token = token
	s.gateway.endAll(4004, "Authentication failed.")
}

// Transport carries requests for the real platform's hosts to the stand-in:
// for a client whose addresses cannot be set. Several stand-ins can so serve
// one process, although discordgo's addresses are global.
func (s *Server) Transport() http.RoundTripper {
	inner := &http.Transport{MaxIdleConnsPerHost: 64}
	s.tb.Cleanup(inner.CloseIdleConnections)
	return redirect{s.addr, inner}
}

type redirect struct {
	addr  string
	inner http.RoundTripper
}

func (r redirect) RoundTrip(req *http.Request) (*http.Response, error) {
	host := req.URL.Hostname()
	if host == "discord.com" || host == "cdn.discordapp.com" || strings.HasSuffix(host, ".discord.com") {
		req = req.Clone(req.Context())
		req.URL.Scheme, req.URL.Host, req.Host = "http", r.addr, r.addr
	}
	return r.inner.RoundTrip(req)
}

// Down takes the platform off the network: the port refuses connections and
// open ones are cut. Up brings it back at the same address.
func (s *Server) Down() {
	s.mu.Lock()
	web := s.web
	s.web = nil
	s.gateway.cutAll()
	s.mu.Unlock()
	if web != nil {
		_ = web.Close() // the port is free or was already
	}
}

// Up puts the platform back on the network after Down.
func (s *Server) Up() {
	s.mu.Lock()
	up := s.web != nil
	s.mu.Unlock()
	if up {
		return
	}
	if err := s.listen(s.addr); err != nil {
		s.tb.Errorf("the stand-in cannot come back: %v", err)
	}
}

func (s *Server) listen(addr string) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	web := &http.Server{Handler: http.HandlerFunc(s.serve), ReadHeaderTimeout: time.Minute}
	s.mu.Lock()
	s.addr, s.web = listener.Addr().String(), web
	s.mu.Unlock()
	go func() {
		if err := web.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
			s.violations.add("stand-in", "stopped serving: %v", err)
		}
	}()
	return nil
}

func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	switch {
	case websocket.IsWebSocketUpgrade(r):
		s.serveGateway(w, r)
	case strings.HasPrefix(r.URL.Path, "/attachments/"):
		s.serveFile(w, r)
	default:
		s.serveCall(w, r)
	}
}

func (s *Server) close() {
	s.mu.Lock()
	web := s.web
	s.web = nil
	for _, one := range s.interactions {
		one.timer.Stop()
	}
	s.gateway.cutAll()
	s.mu.Unlock()
	if web != nil {
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		if web.Shutdown(ctx) != nil {
			_ = web.Close() // a request still hangs in a fault: cut it
		}
	}
	if err := s.book.close(); err != nil {
		s.tb.Errorf("the record of requests is incomplete: %v", err)
	}
	s.violations.report(s.tb)
}

// newID makes an id; s.mu need not be held.
func (s *Server) newID() string { return s.ids.next(s.Clock.Now()) }
