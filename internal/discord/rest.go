package discord

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"github.com/bwmarrin/discordgo"
)

// call makes a request through the library, which keeps to the limits of each
// route. It waits out a 429 no longer than ctx lives, and tries again after what
// passes: the network, a server's error. What may not be done twice must carry a
// nonce. Errors are *refusal, or what the network said.
func (b *Bot) call(ctx context.Context, do func(...discordgo.RequestOption) error) error {
	for try := 0; ; try++ {
		err := asRefusal(do(discordgo.WithContext(ctx), discordgo.WithRetryOnRatelimit(false), discordgo.WithRestRetries(0)))
		var limited *discordgo.RateLimitError
		if errors.As(err, &limited) {
			err = &refusal{status: http.StatusTooManyRequests, text: "too many requests", after: limited.RetryAfter}
		}
		if err == nil || try >= mostTries || !again(ctx, err, try) {
			return b.hush(err)
		}
		b.log.DebugContext(ctx, "trying again", "error", b.hush(err))
	}
}

// mostTries bounds how often a request is made that no deadline waits for.
const mostTries = 8

// postLimit is how long a message may take to be posted.
const postLimit = 2 * time.Minute

// post puts a message into a channel and returns its id. One with a nonce is
// there once, however often it had to be sent.
//
// Errors: ErrUnreachable and ErrNotPosted, as Post says them.
func (b *Bot) post(ctx context.Context, channel string, m message) (id string, err error) {
	ctx, stop := context.WithTimeout(ctx, postLimit)
	defer stop()
	kind, data, err := encode(m, m.files)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrNotPosted, err)
	}
	address, absent := discordgo.EndpointChannelMessages(channel), true
	err = b.call(ctx, func(options ...discordgo.RequestOption) error {
		body, err := b.rest.RequestRaw(http.MethodPost, address, kind, data, address, 0, options...)
		absent = absent && notDone(err) // what one try may have done another's refusal does not undo
		id = parse(body).at("id").text()
		return err
	})
	switch {
	case err == nil:
		return id, nil
	case absent:
		return "", refusedPost(err)
	}
	return "", err
}

// notDone reports whether a request certainly had no effect: Discord refused it,
// or it never went out. After a server's error, or none in time, nobody knows.
func notDone(err error) bool {
	var limited *discordgo.RateLimitError
	var r *refusal
	var network *net.OpError
	switch {
	case errors.As(err, &limited), errors.Is(err, errNotSent):
		return true
	case errors.As(asRefusal(err), &r):
		return r.status < http.StatusInternalServerError
	case errors.As(err, &network):
		return network.Op == "dial"
	}
	return false
}

// direct is the channel in which somebody is written to in private.
func (b *Bot) direct(ctx context.Context, user string) (id string, err error) {
	err = b.call(ctx, func(options ...discordgo.RequestOption) error {
		channel, err := b.rest.UserChannelCreate(user, options...)
		if err == nil {
			id = channel.ID
		}
		return err
	})
	return id, err
}

// get asks for something and reads it without trust.
func (b *Bot) get(ctx context.Context, address, bucket string) (n node, err error) {
	err = b.call(ctx, func(options ...discordgo.RequestOption) error {
		body, err := b.rest.RequestWithBucketID(http.MethodGet, address, nil, bucket, options...)
		n = parse(body)
		return err
	})
	return n, err
}
