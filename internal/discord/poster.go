package discord

import (
	"context"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
)

// Unasked is a post that nobody asked for, to a channel or in private to a member.
type Unasked struct {
	Server   string // whose group it is about, and its buttons ask
	Channel  string // "" for a member
	Member   string // "" for a channel
	Card     commands.Card
	Mentions []string // ids of the only members that it notifies

	Edit string // the id of the message that it replaces; "" for a new one

	Key   string    // Discord makes one message of a key, however often it is sent within some minutes
	Since time.Time // when the first attempt was made; if it is not zero, an earlier post is looked for first
}

// The errors of Post.
var (
	ErrNotPosted   = errors.New("it was not posted")
	ErrGone        = errors.New("the message to be edited is gone")
	ErrUnreachable = errors.New("it cannot be posted")
)

// Post posts something unasked and returns the id of its message. Once begun it goes on although ctx has ended, for as
// long as the bot's work may go on.
//
// Errors: ErrGone if the message to be edited is gone; ErrUnreachable if it can never be posted; ErrNotPosted if it
// certainly is not there and may be tried again at once. After any other error it may be there.
func (b *Bot) Post(ctx context.Context, u Unasked) (id string, err error) {
	b.inFlight.begin()
	defer b.inFlight.done()
	if b.ending.Load() {
		return "", fmt.Errorf("%w: the program is ending", ErrNotPosted)
	}
	ctx, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	defer context.AfterFunc(b.life, stop)()
	if u.Member != "" {
		err = b.stillMember(ctx, u)
	}
	if err != nil {
		return "", err
	}
	return b.say(ctx, u)
}

// stillMember returns an error unless the member is still in the server: somebody who has left gets no posts.
func (b *Bot) stillMember(ctx context.Context, u Unasked) error {
	if !isID(u.Member) {
		return fmt.Errorf("%w: %q is nobody on Discord", ErrUnreachable, u.Member)
	}
	in, err := b.belongs(ctx, u.Server, u.Member)
	switch {
	case err != nil:
		return fmt.Errorf("%w: %w", ErrNotPosted, err)
	case !in:
		return fmt.Errorf("%w: the member has left the server", ErrUnreachable)
	}
	return nil
}

// say is Post without checking the member.
func (b *Bot) say(ctx context.Context, u Unasked) (id string, err error) {
	where, err := b.target(ctx, u)
	if err != nil {
		return "", refusedPost(err) // nothing was sent yet
	}
	m := b.message(u.Card, place{server: u.Server, direct: u.Member != ""}, "").calling(u.Mentions)
	if u.Edit != "" {
		switch err := b.rewrite(ctx, where.id, u.Edit, m); {
		case api.Refused(err, api.UnknownMessage):
			return "", fmt.Errorf("%w: %w", ErrGone, err)
		case err != nil:
			return "", refusedPost(err)
		}
		return u.Edit, nil
	}
	m = m.marked(u.Key).once(nonce(u.Key))
	if !u.Since.IsZero() {
		id, err := b.findPosted(ctx, where, m, u.Since)
		if err != nil {
			return "", refusedPost(err)
		}
		if id != "" {
			b.log.InfoContext(ctx, "it was posted before", "server", u.Server, "message", id)
			return id, nil
		}
	}
	return b.post(ctx, where.id, m)
}

// postLimit is how long a message may take to be posted.
const postLimit = 2 * time.Minute

// post posts a message in a channel and returns its id.
//
// Errors: ErrUnreachable and ErrNotPosted, as for Post.
func (b *Bot) post(ctx context.Context, channel string, m message) (id string, err error) {
	ctx, stop := context.WithTimeout(ctx, postLimit)
	defer stop()
	err = m.send(func(m message) (err error) {
		id, err = b.client.Post(ctx, channel, m, parts(m.files))
		return err
	})
	if errors.Is(err, api.ErrNotDone) {
		return "", refusedPost(err)
	}
	return id, err
}

// rewrite replaces one of the bot's own messages. It can be repeated without harm.
func (b *Bot) rewrite(ctx context.Context, channel, id string, m message) error {
	return m.send(func(m message) error { return b.client.Edit(ctx, channel, id, m, parts(m.files)) })
}

// target is the channel for a post.
type target struct {
	id     string
	latest string // the id of the latest message there, "" for none or unknown
}

// target finds the channel for a post. A channel of another server is refused, because a group's data must stay in its
// server.
func (b *Bot) target(ctx context.Context, u Unasked) (target, error) {
	if u.Member != "" {
		id, err := b.client.DirectChannel(ctx, u.Member)
		return target{id: id}, err
	}
	if !isID(u.Channel) {
		return target{}, fmt.Errorf("%w: %q is no channel", ErrUnreachable, u.Channel)
	}
	address := discordgo.EndpointChannel(u.Channel)
	channel, err := b.client.Get(ctx, address, address)
	if err != nil {
		return target{}, err
	}
	if channel.At("guild_id").Text() != u.Server {
		return target{}, fmt.Errorf("%w: channel %s is not in server %s", ErrUnreachable, u.Channel, u.Server)
	}
	return target{id: u.Channel, latest: channel.At("last_message_id").Text()}, nil
}

// refusedPost adds ErrUnreachable or ErrNotPosted to the error of a post that was not made.
func refusedPost(err error) error {
	switch {
	case errors.Is(err, ErrUnreachable), errors.Is(err, ErrNotPosted):
		return err
	case api.Refused(err, api.NoDirectMessages, api.UnknownChannel, api.UnknownUser):
		return fmt.Errorf("%w: %w", ErrUnreachable, err)
	}
	return fmt.Errorf("%w: %w", ErrNotPosted, err)
}

// calling adds mentions to a message, as many as there is room for, and lets it notify only those.
func (m message) calling(ids []string) message {
	var text []string
	room := maxContent
	for _, id := range ids {
		mention := "<@" + id + ">"
		if room -= len(mention) + 1; !isID(id) || room < 0 || len(text) == maxMentions {
			continue
		}
		text = append(text, mention)
		m.AllowedMentions.Users = append(m.AllowedMentions.Users, id)
	}
	m.Content = strings.Join(text, " ")
	return m
}

// maxNonce is how long a nonce may be (resources/message).
const maxNonce = 25

// nonce hashes a key of any length to a nonce; "" stays "".
func nonce(key string) string {
	if key == "" {
		return ""
	}
	sum := sha256.Sum256([]byte(key))
	return base32.StdEncoding.EncodeToString(sum[:])[:maxNonce]
}
