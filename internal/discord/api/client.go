package api

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"

	"github.com/bwmarrin/discordgo"
)

// Client makes requests with the bot's token through the library, which keeps to
// the limits of each route.
type Client struct {
	Session *discordgo.Session // never connected; for the library's own calls, within Do
	Token   Token
	Log     *slog.Logger
}

// NewSession makes a session of the library's that keeps and logs as little as it
// can be made to.
func NewSession(token Token, client *http.Client) *discordgo.Session {
	s, err := discordgo.New("Bot " + string(token))
	if err != nil {
		// New fails for no reason in this version, and the token it would need is
		// checked before.
		s = &discordgo.Session{}
	}
	s.Client = client
	s.LogLevel = -1 // its log can hold the token; what matters is told by its callers
	s.StateEnabled = false
	s.ShouldReconnectOnError = false
	s.ShouldReconnectVoiceOnSessionError = false
	s.SyncEvents = true // in order; whoever handles them must not wait
	return s
}

// mostTries bounds how often a request is made that no deadline waits for.
const mostTries = 8

// Do makes a request. It waits out a 429 no longer than ctx lives, and tries again
// after what passes: the network, a server's error. What may not be done twice must
// carry a nonce.
//
// Errors: *Refusal, or what the network said, without tokens.
func (c *Client) Do(ctx context.Context, do func(...discordgo.RequestOption) error) error {
	for try := 0; ; try++ {
		err := AsRefusal(do(discordgo.WithContext(ctx), discordgo.WithRetryOnRatelimit(false),
			discordgo.WithRestRetries(0)))
		if limited, is := errors.AsType[*discordgo.RateLimitError](err); is {
			err = &Refusal{Status: http.StatusTooManyRequests, Text: "too many requests", After: limited.RetryAfter}
		}
		if err == nil || try >= mostTries || !again(ctx, err, try) {
			return c.Token.Redacted(err)
		}
		c.Log.DebugContext(ctx, "trying again", "error", c.Token.Redacted(err))
	}
}

// ErrNotDone says that a request certainly had no effect.
var ErrNotDone = errors.New("it was not done")

// Post puts a message into a channel and returns its id. One with a nonce is
// there once, however often it had to be sent.
//
// Errors: ErrNotDone where it is certainly not there; after any other it may be.
func (c *Client) Post(ctx context.Context, channel string, body any, files []File) (id string, err error) {
	kind, data, err := encode(body, files)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrNotDone, err)
	}
	address, absent := discordgo.EndpointChannelMessages(channel), true
	err = c.Do(ctx, func(options ...discordgo.RequestOption) error {
		said, err := c.Session.RequestRaw(http.MethodPost, address, kind, data, address, 0, options...)
		absent = absent && notDone(err) // what one try may have done another's refusal does not undo
		id = Read(said).At("id").Text()
		return err
	})
	switch {
	case err == nil:
		return id, nil
	case absent:
		return "", fmt.Errorf("%w: %w", ErrNotDone, err)
	}
	return "", err
}

// Edit makes a message of the bot's own what body is.
func (c *Client) Edit(ctx context.Context, channel, id string, body any, files []File) error {
	kind, data, err := encode(body, files)
	if err != nil {
		return err
	}
	address, bucket := discordgo.EndpointChannelMessage(channel, id), discordgo.EndpointChannelMessage(channel, "")
	return c.Do(ctx, func(options ...discordgo.RequestOption) error {
		_, err := c.Session.RequestRaw(http.MethodPatch, address, kind, data, bucket, 0, options...)
		return err
	})
}

// notDone reports whether a request certainly had no effect: Discord refused it,
// or it never went out. After a server's error, or none in time, nobody knows.
func notDone(err error) bool {
	var limited *discordgo.RateLimitError
	var r *Refusal
	var network *net.OpError
	switch {
	case errors.As(err, &limited), errors.Is(err, ErrNotSent):
		return true
	case errors.As(AsRefusal(err), &r):
		return r.Status < http.StatusInternalServerError
	case errors.As(err, &network):
		return network.Op == "dial"
	}
	return false
}

// DirectChannel is the id of the channel in which somebody is written to in private.
func (c *Client) DirectChannel(ctx context.Context, user string) (id string, err error) {
	err = c.Do(ctx, func(options ...discordgo.RequestOption) error {
		channel, err := c.Session.UserChannelCreate(user, options...)
		if err == nil {
			id = channel.ID
		}
		return err
	})
	return id, err
}

// Get asks for something and reads it without trust. Requests of one bucket are
// made one after the other.
func (c *Client) Get(ctx context.Context, address, bucket string) (n Node, err error) {
	err = c.Do(ctx, func(options ...discordgo.RequestOption) error {
		said, err := c.Session.RequestWithBucketID(http.MethodGet, address, nil, bucket, options...)
		n = Read(said)
		return err
	})
	return n, err
}
