package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"
)

// Replies sends the answers to interactions. They need no token of the bot's and
// have rate limits of their own, so they go past the library's buckets: those
// would make them wait for one another, and keep one bucket for each for ever.
type Replies struct {
	client *http.Client
	agent  string
}

// NewReplies sends by a transport, under the name of a user agent.
func NewReplies(transport http.RoundTripper, agent string) *Replies {
	return &Replies{client: &http.Client{Transport: transport}, agent: agent}
}

// How long one request may take, and how much is read of what Discord says.
const (
	oneFirst   = 2 * time.Second  // a first answer: there is time for a second try
	oneEdit    = 10 * time.Second // an edit
	oneUpload  = 90 * time.Second // an edit with files: 24 MiB by a slow line
	firstPause = 50 * time.Millisecond
	maxPause   = 2 * time.Second
	maxReply   = 1 << 20 // bytes
)

// ErrAnswered says that an interaction had its first answer before.
var ErrAnswered = errors.New("answered already")

// First sends the first answer to an interaction, again and again until ctx
// ends. Discord takes one only, so a second try does no harm; where it says that
// the first one came through after all, that is fine.
//
// Errors: ErrAnswered where somebody else was first; *Refusal; the network's; with
// ErrNotDone where Discord certainly took none of the tries.
func (w *Replies) First(ctx context.Context, id, token string, body any, files []File) error {
	absent := true
	for try := 0; ; try++ {
		if ctx.Err() != nil && try == 0 {
			return fmt.Errorf("%w: %w", ErrNotDone, ctx.Err())
		}
		err := w.once(ctx, oneFirst, http.MethodPost, callbackURL(id, token), body, files)
		switch {
		case Refused(err, AnsweredBefore) && try == 0:
			return ErrAnswered
		case Refused(err, AnsweredBefore):
			return nil
		}
		absent = absent && notDone(err)
		if !again(ctx, err, try) {
			if absent && err != nil {
				err = fmt.Errorf("%w: %w", ErrNotDone, err)
			}
			return err
		}
	}
}

// Edit makes the answer to an interaction what body is. It can be repeated without
// harm and is, until ctx ends.
func (w *Replies) Edit(ctx context.Context, app, token string, body any, files []File) error {
	limit := oneEdit
	if len(files) > 0 {
		limit = oneUpload
	}
	for try := 0; ; try++ {
		err := w.once(ctx, limit, http.MethodPatch, originalURL(app, token), body, files)
		if !again(ctx, err, try) {
			return err
		}
	}
}

// again waits before another try; false if there is none to be made.
func again(ctx context.Context, err error, try int) bool {
	var r *Refusal
	pause := min(firstPause<<min(try, 10), maxPause)
	switch {
	case err == nil:
		return false
	case errors.As(err, &r) && r.Status == http.StatusTooManyRequests:
		pause = r.After
	case errors.As(err, &r) && r.Status < http.StatusInternalServerError:
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
func (w *Replies) once(ctx context.Context, limit time.Duration, method, address string, body any, files []File) error {
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
