package discord

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/bwmarrin/discordgo"
)

// wire sends the answers to interactions. They need no token of the bot's and
// have rate limits of their own, so they go past the library's buckets: those
// would make them wait for one another, and keep one bucket for each for ever.
type wire struct {
	client *http.Client
	agent  string
}

func newWire(transport http.RoundTripper, agent string) *wire {
	return &wire{client: &http.Client{Transport: transport}, agent: agent}
}

// How patient the wire is.
const (
	oneTry     = 2 * time.Second       // of a first answer: there is time for a second
	oneEdit    = 10 * time.Second      // of an edit
	oneUpload  = 90 * time.Second      // of an edit with files: 24 MiB by a slow line
	firstPause = 50 * time.Millisecond // before another try, doubled each time
	maxPause   = 2 * time.Second
	maxReply   = 1 << 20 // bytes read of what Discord says
)

// Codes of Discord's errors (topics/opcodes-and-status-codes).
const (
	codeUnknownChannel     = 10003
	codeUnknownUser        = 10013
	codeUnknownWebhook     = 10015
	codeUnknownInteraction = 10062
	codeAnswered           = 40060
	codeClosedToUs         = 50007
	codeDeadToken          = 50027
	codeBadForm            = 50035
)

// refusal is Discord's answer to a request that it did not carry out.
type refusal struct {
	status, code int
	text         string
	after        time.Duration // of a 429
}

func (r *refusal) Error() string {
	return fmt.Sprintf("Discord said %d, code %d: %s", r.status, r.code, r.text)
}

// errAnswered says that an interaction had its first answer before.
var errAnswered = errors.New("answered already")

// refused reports whether err is Discord's refusal with that code.
func refused(err error, codes ...int) bool {
	var r *refusal
	return errors.As(err, &r) && slices.Contains(codes, r.code)
}

// callback sends the first answer to an interaction, again and again until ctx
// ends. Discord takes one only, so a second try does no harm; where it says that
// the first one came through after all, that is fine. errAnswered means that
// somebody else was first.
func (w *wire) callback(ctx context.Context, id, token string, c callback, files []file) error {
	for try := 0; ; try++ {
		err := w.once(ctx, oneTry, http.MethodPost, callbackURL(id, token), c, files)
		switch {
		case refused(err, codeAnswered) && try == 0:
			return errAnswered
		case refused(err, codeAnswered):
			return nil
		}
		if !again(ctx, err, try) {
			return err
		}
	}
}

// edit makes the answer to an interaction what m is. It can be repeated without
// harm and is, until ctx ends.
func (w *wire) edit(ctx context.Context, app, token string, m message) error {
	m.Flags = 0 // who sees it was settled by the first answer
	limit := oneEdit
	if len(m.files) > 0 {
		limit = oneUpload
	}
	for try := 0; ; try++ {
		err := w.once(ctx, limit, http.MethodPatch, originalURL(app, token), m, m.files)
		if !again(ctx, err, try) {
			return err
		}
	}
}

// again waits before another try; false if there is none to be made.
func again(ctx context.Context, err error, try int) bool {
	var r *refusal
	pause := min(firstPause<<min(try, 10), maxPause)
	switch {
	case err == nil:
		return false
	case errors.As(err, &r) && r.status == http.StatusTooManyRequests:
		pause = r.after
	case errors.As(err, &r) && r.status < 500:
		return false
	}
	if deadline, ok := ctx.Deadline(); ok && time.Now().Add(pause).After(deadline) {
		return false
	}
	select {
	case <-time.After(pause):
		return true
	case <-ctx.Done():
		return false
	}
}

// once sends one request. A server that does not answer in time is a failure
// like any other.
func (w *wire) once(ctx context.Context, limit time.Duration, method, address string, body any, files []file) error {
	ctx, stop := context.WithTimeout(ctx, limit)
	defer stop()
	kind, data, err := encode(body, files)
	if err != nil {
		return err
	}
	req, err := http.NewRequestWithContext(ctx, method, address, bytes.NewReader(data))
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", kind)
	req.Header.Set("User-Agent", w.agent)
	resp, err := w.client.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close() // it is read to its end, or not worth keeping
	said, err := io.ReadAll(io.LimitReader(resp.Body, maxReply))
	if resp.StatusCode < 300 {
		return nil // whatever came of the rest of the reply: it is done
	}
	if err != nil {
		return err
	}
	return readRefusal(resp, said)
}

// readRefusal reads Discord's error, or whatever else a server in between says.
func readRefusal(resp *http.Response, said []byte) *refusal {
	r := &refusal{status: resp.StatusCode, text: http.StatusText(resp.StatusCode)}
	var told struct {
		Code       int             `json:"code"`
		Message    string          `json:"message"`
		RetryAfter float64         `json:"retry_after"`
		Errors     json.RawMessage `json:"errors"`
	}
	if json.Unmarshal(said, &told) == nil {
		r.code, r.text = told.Code, plain(told.Message+" "+string(told.Errors), 500)
	}
	after := told.RetryAfter
	if after == 0 {
		after, _ = strconv.ParseFloat(resp.Header.Get("Retry-After"), 64) // absent is none
	}
	r.after = time.Duration(after * float64(time.Second))
	return r
}

// asRefusal is the library's error of a request as ours.
func asRefusal(err error) error {
	var rest *discordgo.RESTError
	if !errors.As(err, &rest) || rest.Response == nil {
		return err
	}
	return readRefusal(rest.Response, rest.ResponseBody)
}

// refusedAs reports whether err is Discord's refusal with one of these statuses.
func refusedAs(err error, statuses ...int) bool {
	var r *refusal
	return errors.As(err, &r) && slices.Contains(statuses, r.status)
}
