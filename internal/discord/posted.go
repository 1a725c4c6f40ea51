package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/api"
)

// After a restart the bot asks Discord whether something was posted before. Discord forgets nonces after some minutes
// and does not return them, so an unasked message has its key, shortened, in one of its buttons.

// markLength is 50 bits, so that two keys do not collide.
const markLength = 10

// marked writes a message's key into the first button that has room.
func (m message) marked(key string) message {
	if key == "" {
		return m
	}
	mark := "&" + markPart + "=" + nonce(key)[:markLength]
	for _, row := range m.Components {
		for i, c := range row.Components {
			if carriesLine(c.CustomID) && len(c.CustomID)+len(mark) <= maxCustomID {
				row.Components[i].CustomID += mark
				return m
			}
		}
	}
	return m
}

// carriesLine reports whether a custom id holds a whole request.
func carriesLine(id string) bool { return strings.HasPrefix(id, string(askKind)+":") }

// markOf returns the mark in the custom ids of a message, "" for none.
func markOf(customIDs []string) string {
	for _, id := range customIDs {
		_, mark, found := strings.Cut(id, "&"+markPart+"=")
		if found && carriesLine(id) {
			return mark
		}
	}
	return ""
}

// How far to look for a message that may have been posted.
const (
	clockMargin = time.Minute // between Discord's clock and ours
	mostPages   = 20
)

var (
	errNotConnected = errors.New("not connected yet")
	errTooMuchSaid  = errors.New("too much was said since to look through")
	errNoHistory    = errors.New("what was said before cannot be read: the bot lacks Read Message History there")
)

// findPosted returns the id of the message that is m and was posted after since, "" if there is none. It returns an
// error if that cannot be told: a post that is missing is better than one that is there twice.
func (b *Bot) findPosted(ctx context.Context, where target, m message, since time.Time) (id string, err error) {
	me := b.self.Load()
	if me == nil {
		return "", errNotConnected
	}
	after, read := snowflakeAt(since.Add(-clockMargin)), 0
	for range mostPages {
		page, err := b.page(ctx, where.id, after)
		if err != nil {
			return "", err
		}
		for _, n := range page {
			if m.is(n, me.user) {
				return n.At("id").Text(), nil
			}
			after = max(after, n.At("id").Whole())
		}
		if read += len(page); len(page) == maxPage {
			continue
		}
		if read == 0 && asID(where.latest) > after {
			return "", b.readable(ctx, where)
		}
		return "", nil
	}
	return "", errTooMuchSaid
}

// readable returns an error if the bot may not read the channel's history. Discord then returns an empty page and no
// error, as it does if the latest message was deleted; asking for that one message tells the two apart.
func (b *Bot) readable(ctx context.Context, where target) error {
	address := discordgo.EndpointChannelMessage(where.id, where.latest)
	_, err := b.client.Get(ctx, address, discordgo.EndpointChannelMessage(where.id, ""))
	switch {
	case err == nil, api.RefusedAs(err, http.StatusNotFound):
		return nil
	case api.RefusedAs(err, http.StatusForbidden):
		return errNoHistory
	}
	return err
}

// page returns the first hundred messages of a channel after one.
func (b *Bot) page(ctx context.Context, channel string, after int64) ([]api.Node, error) {
	address := discordgo.EndpointChannelMessages(channel)
	query := url.Values{"after": {strconv.FormatInt(after, 10)}, "limit": {strconv.Itoa(maxPage)}}
	n, err := b.client.Get(ctx, address+"?"+query.Encode(), address)
	if err != nil {
		return nil, fmt.Errorf("looking for it: %w", err)
	}
	return n.Items(), nil
}

// is reports whether a message from Discord is this one, posted unasked before: by its mark, or without one by its
// title.
func (m message) is(n api.Node, me string) bool {
	answers := n.At("message_reference").There() || n.At("interaction_metadata").There()
	if n.At("author").At("id").Text() != me || answers {
		return false
	}
	var ours, theirs []string
	for _, row := range m.Components {
		for _, c := range row.Components {
			ours = append(ours, c.CustomID)
		}
	}
	for _, row := range n.At("components").Items() {
		for _, c := range row.At("components").Items() {
			theirs = append(theirs, c.At("custom_id").Text())
		}
	}
	if mark := markOf(ours); mark != "" {
		return mark == markOf(theirs)
	}
	for _, e := range n.At("embeds").Items() {
		return e.At("title").Text() == m.Embeds[0].Title
	}
	return false
}

// discordEpoch is when Discord's ids begin (reference, snowflakes).
const discordEpoch = 1420070400000

// snowflakeAt is the smallest id that Discord gives at a time.
func snowflakeAt(t time.Time) int64 { return max(0, t.UnixMilli()-discordEpoch) << 22 }

// madeAt is when Discord made something, by its id; zero if it is no id.
func madeAt(id string) time.Time {
	n := asID(id)
	if n == 0 {
		return time.Time{}
	}
	return time.UnixMilli(n>>22 + discordEpoch)
}
