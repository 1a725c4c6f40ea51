package gateway

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"sync"
)

// resumePoint is where a shard's session is to be taken up again. Discord names
// it in READY; the library does not read it, and asks where the gateway is
// instead. That question is answered here.
type resumePoint struct {
	next http.RoundTripper

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
	return r.url
}

// RoundTrip answers the question for the gateway; all else goes on.
func (r *resumePoint) RoundTrip(req *http.Request) (*http.Response, error) {
	url := r.get()
	if url == "" || req.Method != http.MethodGet || !strings.HasSuffix(req.URL.Path, "/gateway") {
		return r.next.RoundTrip(req)
	}
	body, err := json.Marshal(map[string]string{"url": url + "/"})
	if err != nil {
		return nil, err
	}
	return &http.Response{
		Status: "200 OK", StatusCode: http.StatusOK, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{"Content-Type": {"application/json"}}, ContentLength: int64(len(body)),
		Body: io.NopCloser(bytes.NewReader(body)), Request: req,
	}, nil
}
