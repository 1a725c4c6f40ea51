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

// Whether something was posted before the program stopped Discord is asked. Its
// nonces are forgotten after some minutes and not given back, so a message
// carries its key, shortened, in the first of its buttons.

// markLength is enough that two keys do not meet: 50 bits.
const markLength = 10

// marked writes a message's key into its first button that has room.
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

// carriesLine reports whether a custom id has a request written out in it.
func carriesLine(id string) bool { return strings.HasPrefix(id, string(askKind)+":") }

// markOf is the mark in the buttons of a message, as Discord gives it, or as it
// is to be sent; "" for none.
func markOf(customIDs []string) string {
	for _, id := range customIDs {
		_, mark, found := strings.Cut(id, "&"+markPart+"=")
		if found && carriesLine(id) {
			return mark
		}
	}
	return ""
}

// How far is looked for a message that may be there.
const (
	clockMargin = time.Minute // between Discord's clock and ours
	mostPages   = 20
)

var (
	errNotConnected = errors.New("not connected yet")
	errTooMuchSaid  = errors.New("too much was said since to look through")
	errNoHistory    = errors.New("what was said before cannot be read: the bot lacks Read Message History there")
)

// findPosted is the id of the message that was posted since as m would be, "" if there
// is none. Where that cannot be told it returns an error: better not at all than
// twice.
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

// readable returns an error where what was said before cannot be read: Discord
// shows an empty page then, and no error, as it does where the latest message was
// deleted. Asked for that one alone it tells the two apart.
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

// page is what was said in a channel after a message, the earliest hundred of it.
func (b *Bot) page(ctx context.Context, channel string, after int64) ([]api.Node, error) {
	address := discordgo.EndpointChannelMessages(channel)
	query := url.Values{"after": {strconv.FormatInt(after, 10)}, "limit": {strconv.Itoa(maxPage)}}
	n, err := b.client.Get(ctx, address+"?"+query.Encode(), address)
	if err != nil {
		return nil, fmt.Errorf("looking for it: %w", err)
	}
	return n.Items(), nil
}

// is reports whether what Discord has is this message, posted unasked before: by
// its mark, or for want of one by its title.
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

// snowflakeAt is the least id of something made at a time.
func snowflakeAt(t time.Time) int64 { return max(0, t.UnixMilli()-discordEpoch) << 22 }

// madeAt is when Discord made something, by its id; zero for what is no id.
func madeAt(id string) time.Time {
	n, err := strconv.ParseUint(id, 10, 64)
	if err != nil {
		return time.Time{}
	}
	return time.UnixMilli(int64(n>>22) + discordEpoch)
}
