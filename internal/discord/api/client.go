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

// Client makes requests with the bot's token through discordgo, which keeps to the rate limit of each route.
type Client struct {
	Session *discordgo.Session // never connected to the gateway; its methods are called within Do
	Token   Token
	Log     *slog.Logger
}

// NewSession makes a discordgo session that stores and logs as little as possible.
func NewSession(token Token, client *http.Client) *discordgo.Session {
	s, err := discordgo.New("Bot " + string(token))
	if err != nil {
		s = &discordgo.Session{} // cannot happen: this version of New never fails
	}
	s.Client = client
	s.LogLevel = -1 // its log can hold the token; callers log what matters
	s.StateEnabled = false
	s.ShouldReconnectOnError = false
	s.ShouldReconnectVoiceOnSessionError = false
	s.SyncEvents = true // handlers run in order, and must not wait
	return s
}

// mostTries bounds how often a request without a deadline is retried.
const mostTries = 8

// Do makes a request, and tries again after a 429, a network error or a server error, for as long as ctx allows. A
// request that must not be done twice needs a nonce.
//
// Errors: *Refusal, or a network error; neither quotes a token.
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

// Post posts a message in a channel and returns its id. With a nonce Discord makes one message, however often it was
// sent.
//
// Errors: ErrNotDone if the message certainly was not made; after any other error it may have been.
func (c *Client) Post(ctx context.Context, channel string, body any, files []File) (id string, err error) {
	kind, data, err := encode(body, files)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrNotDone, err)
	}
	address, absent := discordgo.EndpointChannelMessages(channel), true
	err = c.Do(ctx, func(options ...discordgo.RequestOption) error {
		said, err := c.Session.RequestRaw(http.MethodPost, address, kind, data, address, 0, options...)
		absent = absent && notDone(err) // an earlier try may have made it, even if this one was refused
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

// Edit replaces one of the bot's own messages by body.
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

// notDone reports whether a request certainly had no effect: Discord refused it, or it was never sent. After a server
// error or a timeout that is not known.
func notDone(err error) bool {
	if _, limited := errors.AsType[*discordgo.RateLimitError](err); limited || errors.Is(err, ErrNotSent) {
		return true
	}
	if r, is := errors.AsType[*Refusal](AsRefusal(err)); is {
		return r.Status < http.StatusInternalServerError
	}
	network, is := errors.AsType[*net.OpError](err)
	return is && network.Op == "dial"
}

// DirectChannel returns the id of the channel for direct messages to a user.
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

// Get requests something and parses the answer. Requests of one bucket are made one after the other.
func (c *Client) Get(ctx context.Context, address, bucket string) (n Node, err error) {
	err = c.Do(ctx, func(options ...discordgo.RequestOption) error {
		said, err := c.Session.RequestWithBucketID(http.MethodGet, address, nil, bucket, options...)
		n = Read(said)
		return err
	})
	return n, err
}
