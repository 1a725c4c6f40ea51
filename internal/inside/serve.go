package inside

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// ErrOpen: others than this machine can reach the address.
var ErrOpen = errors.New("it can be reached from outside this machine; one that cannot is 127.0.0.1:9464")

// Listen opens an address for Serve. It refuses one that other machines can reach, because the pages are open to
// everybody.
//
// Errors: ErrOpen.
func Listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("inside.listen: %w", err)
	}
	if at, is := l.Addr().(*net.TCPAddr); !is || !at.IP.IsLoopback() {
		return nil, errors.Join(fmt.Errorf("inside.listen: %s: %w", l.Addr(), ErrOpen), l.Close())
	}
	return l, nil
}

// Limits of a request: there is nothing to send and the pages are small.
const (
	readLimit  = 5 * time.Second
	writeLimit = 10 * time.Second
	endLimit   = time.Second
)

// Serve shows /healthz and /metrics until ctx ends; it closes the listener.
func (s *Status) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{Handler: s.pages(), ReadTimeout: readLimit, WriteTimeout: writeLimit,
		IdleTimeout: time.Minute, MaxHeaderBytes: 1 << 14}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("inside.listen: %w", err)
	case <-ctx.Done():
	}
	ending, stop := context.WithTimeout(context.WithoutCancel(ctx), endLimit)
	defer stop()
	if server.Shutdown(ending) != nil {
		server.Close() // a slow client is not waited for
	}
	<-ended
	return nil
}

func (s *Status) pages() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", s.health)
	mux.Handle("GET /metrics", promhttp.HandlerFor(s.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 4}))
	return mux
}
