package discord

import (
	"context"
	"errors"
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

// post puts a message into a channel. One with a nonce is there once, however
// often it had to be sent.
func (b *Bot) post(ctx context.Context, channel string, m message) error {
	ctx, stop := context.WithTimeout(ctx, postLimit)
	defer stop()
	kind, data, err := encode(m, m.file)
	if err != nil {
		return err
	}
	address := discordgo.EndpointChannelMessages(channel)
	return b.call(ctx, func(options ...discordgo.RequestOption) error {
		_, err := b.rest.RequestRaw(http.MethodPost, address, kind, data, address, 0, options...)
		return err
	})
}

// tell sends somebody a direct message.
func (b *Bot) tell(ctx context.Context, user string, m message) error {
	var channel *discordgo.Channel
	err := b.call(ctx, func(options ...discordgo.RequestOption) (err error) {
		channel, err = b.rest.UserChannelCreate(user, options...)
		return err
	})
	if err != nil {
		return err
	}
	return b.post(ctx, channel.ID, m)
}
