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

// Unasked is something said that nobody asked for: to a channel, or in private to
// a member.
type Unasked struct {
	Server   string // whose group it is about; its buttons ask there
	Channel  string // "" for a member
	Member   string // "" for a channel
	Card     commands.Card
	Mentions []string // ids of those whom it notifies; nobody else is

	Edit string // the id of the message that it takes the place of; "" for a new one

	Key   string    // sent several times under one key within some minutes it is there once: Discord sees to that
	Since time.Time // when it was first tried; zero for the first time, else it is looked for before it is sent
}

// What is known of a message that was not posted, beside what went wrong.
var (
	ErrNotPosted   = errors.New("it was not posted")
	ErrGone        = errors.New("the message to be edited is gone")
	ErrUnreachable = errors.New("it cannot be posted")
)

// Post posts something unasked and returns the id of its message. Once it has
// begun it is finished, within the time that ending has, though ctx be over.
//
// Errors: ErrUnreachable where it can never be posted; ErrNotPosted where it is
// certainly not there, and may be tried again at once. After any other it may be
// there.
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

// stillMember returns an error unless a member is still in the server: whoever has left
// is not told anything.
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

// say posts something unasked.
func (b *Bot) say(ctx context.Context, u Unasked) (id string, err error) {
	where, err := b.target(ctx, u)
	if err != nil {
		return "", refusedPost(err) // nothing was sent yet
	}
	if u.Edit != "" {
		return u.Edit, b.rewrite(ctx, where.id, u.Edit,
			b.message(u.Card, place{server: u.Server}, "").calling(u.Mentions))
	}
	m := b.message(u.Card, place{server: u.Server, direct: u.Member != ""},
		"").calling(u.Mentions).marked(u.Key).once(nonce(u.Key))
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

// post puts a message into a channel and returns its id.
//
// Errors: ErrUnreachable and ErrNotPosted, as Post says them.
func (b *Bot) post(ctx context.Context, channel string, m message) (string, error) {
	ctx, stop := context.WithTimeout(ctx, postLimit)
	defer stop()
	id, err := b.client.Post(ctx, channel, m, parts(m.files))
	if m.refusesFiles(err) {
		m = m.inWords()
		id, err = b.client.Post(ctx, channel, m, nil)
	}
	if errors.Is(err, api.ErrNotDone) {
		return "", refusedPost(err)
	}
	return id, err
}

// rewrite makes a message of the bot's own what m is. It can be repeated without harm.
func (b *Bot) rewrite(ctx context.Context, channel, id string, m message) error {
	err := b.client.Edit(ctx, channel, id, m, parts(m.files))
	if m.refusesFiles(err) {
		m = m.inWords()
		err = b.client.Edit(ctx, channel, id, m, nil)
	}
	switch {
	case api.Refused(err, api.UnknownMessage):
		return fmt.Errorf("%w: %w", ErrGone, err)
	case err != nil:
		return refusedPost(err)
	}
	return nil
}

// target is where something goes.
type target struct {
	id     string
	latest string // the id of the latest message there, "" for none or unknown
}

// target finds the channel that something goes to. A channel of another server
// is none: what a group knows is its own.
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

// refusedPost is the error of a post of which nothing went out, with what is
// known of it.
func refusedPost(err error) error {
	switch {
	case errors.Is(err, ErrUnreachable), errors.Is(err, ErrNotPosted):
		return err
	case api.Refused(err, api.NoDirectMessages, api.UnknownChannel, api.UnknownUser):
		return fmt.Errorf("%w: %w", ErrUnreachable, err)
	}
	return fmt.Errorf("%w: %w", ErrNotPosted, err)
}

// calling puts mentions on a message, as many as there is room for, and lets it
// notify just those.
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

// nonce is a key of any length as a nonce.
func nonce(key string) string {
	if key == "" {
		return ""
	}
	sum := sha256.Sum256([]byte(key))
	return base32.StdEncoding.EncodeToString(sum[:])[:maxNonce]
}
