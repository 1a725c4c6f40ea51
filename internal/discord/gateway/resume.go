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

// resumePoint is the address at which a shard's session is resumed. Discord names it in READY. discordgo does not read
// it and asks for the gateway's address instead; resumePoint is the transport that answers that request.
type resumePoint struct {
	address func() string // the gateway's own address

	mu  sync.Mutex
	url string // "" for the gateway's own
}

// set notes the address of the latest READY, "" for none.
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

var errNotAsked = errors.New("a gateway session requests nothing but the gateway's address")

// RoundTrip answers the request for the gateway's address, the only one that a session makes.
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
