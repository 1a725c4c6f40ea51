package gateway

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strings"
	"sync"
)

// resumePoint is where a shard's session is to be taken up again. Discord names
// it in READY; the library does not read it, and asks where the gateway is
// instead. That question is answered here.
type resumePoint struct {
	address func() string // the gateway's own address

	mu  sync.Mutex
	url string // "" for the gateway's own
}

// set notes the address of the latest READY, "" when there is none to go by.
func (r *resumePoint) set(url string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.url = strings.TrimRight(url, "/")
}

func (r *resumePoint) get() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.url == "" {
		return r.address()
	}
	return r.url
}

var errNotAsked = errors.New("a session of the gateway asks for nothing but its address")

// RoundTrip answers the question for the gateway, the only one that there is.
func (r *resumePoint) RoundTrip(req *http.Request) (*http.Response, error) {
	if req.Method != http.MethodGet || !strings.HasSuffix(req.URL.Path, "/gateway") {
		return nil, errNotAsked
	}
	body, err := json.Marshal(map[string]string{"url": r.get() + "/"})
	if err != nil {
		return nil, err
	}
	return &http.Response{
		Status: "200 OK", StatusCode: http.StatusOK, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{"Content-Type": {"application/json"}}, ContentLength: int64(len(body)),
		Body: io.NopCloser(bytes.NewReader(body)), Request: req,
	}, nil
}
