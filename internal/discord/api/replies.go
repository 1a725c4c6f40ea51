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

// Replies sends the answers to interactions. They need no bot token and have rate limits of their own, so they bypass
// discordgo's rate limiter, which would make them wait for each other and would keep a bucket for each for ever.
type Replies struct {
	client *http.Client
	agent  string
}

// NewReplies makes Replies that send through transport, with agent as their User-Agent.
func NewReplies(transport http.RoundTripper, agent string) *Replies {
	return &Replies{client: &http.Client{Transport: transport}, agent: agent}
}

// How long one request may take, the pauses between tries, and how much of Discord's answer is read.
const (
	oneFirst   = 2 * time.Second  // a first answer: leaves time for a second try
	oneEdit    = 10 * time.Second // an edit
	oneUpload  = 90 * time.Second // an edit with files: 24 MiB on a slow line
	firstPause = 50 * time.Millisecond
	maxPause   = 2 * time.Second
	maxReply   = 1 << 20 // bytes
)

// ErrAnswered says that an interaction already had a first answer.
var ErrAnswered = errors.New("answered already")

// First sends the first answer to an interaction, and tries again until ctx ends. Discord takes only one, so a second
// try does no harm; if Discord then says that the interaction is answered, an earlier try came through.
//
// Errors: ErrAnswered if somebody else answered before; *Refusal; network errors. They wrap ErrNotDone if Discord
// certainly took none of the tries.
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

// Edit replaces the answer to an interaction by body, and tries again until ctx ends: repeating it does no harm.
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

// again waits before another try. It returns false if there should be none.
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

// once sends one request. No answer within limit is an error.
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
	defer resp.Body.Close() // read to its end, or not needed
	said, err := io.ReadAll(io.LimitReader(resp.Body, maxReply))
	if resp.StatusCode < 300 {
		return nil // even if the rest of the reply could not be read
	}
	if err != nil {
		return err
	}
	return readRefusal(resp, said)
}
