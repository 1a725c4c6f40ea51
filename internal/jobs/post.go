package jobs

import (
	"context"
	"errors"
	"strings"
	"time"

	"holdbench/internal/commands"
)

// Post is something said unasked, before it takes the look of a surface. It goes
// to a channel or, in private, to a member.
type Post struct {
	Community string // the platform's id
	Channel   string // the platform's id; "" for a post to a member
	Member    string // the platform's id; "" for a post to a channel
	Card      commands.Card
	Mentions  []string // ids of members who agreed to be mentioned, nobody else may be

	Edit string // the platform's id of the post that it takes the place of; "" for a new one

	Key     string    // the platform's nonce: the same however often it is tried
	Attempt int       // 1 the first time; above it the post may be there already
	Begun   time.Time // of the first attempt: where to look for that post from
}

// Poster puts posts where they belong and returns the platform's id of each. At
// a later attempt it first looks for a post of its own made since Begun.
//
// Errors: ErrNotPosted if the post is certainly not there and may be tried again at once; ErrClosed if it is not
// there because its channel is gone or does not take it; ErrGone if what it takes the place of is gone;
// ErrUnreachable if it never will be. After any other error nobody knows; it is tried again some minutes later under
// the same key.
type Poster interface {
	Post(ctx context.Context, p Post) (id string, err error)
}

// What a Poster may say beside what went wrong.
var (
	ErrNotPosted   = errors.New("not posted")
	ErrClosed      = errors.New("the channel is gone, or closed to the bot")
	ErrGone        = errors.New("the post that was to be edited is gone")
	ErrUnreachable = errors.New("cannot be reached")
)

// Text is the post in plain text: to whom, who is mentioned, the card, its
// buttons.
func (p Post) Text() string {
	var b strings.Builder
	switch {
	case p.Member != "":
		b.WriteString("to member " + p.Member + ", in private\n")
	case p.Channel != "":
		b.WriteString("to channel " + p.Channel + "\n")
	default:
		b.WriteString("to no channel: none is set\n")
	}
	if len(p.Mentions) > 0 {
		b.WriteString("mentions " + strings.Join(p.Mentions, ", ") + "\n")
	}
	b.WriteString("\n" + p.Card.Text())
	for _, a := range p.Card.Actions {
		if a.Tap {
			b.WriteString("  [" + a.Label + "]\n")
		}
	}
	return b.String()
}
