package jobs

import (
	"context"
	"errors"
	"strings"
	"time"

	"holdbench/internal/commands"
)

// Post is an unasked message before a surface shows it. It goes to a channel or, in private, to a member.
type Post struct {
	Community string // the platform's id
	Channel   string // the platform's id; "" for a post to a member
	Member    string // the platform's id; "" for a post to a channel
	Card      commands.Card
	Mentions  []string // ids of the members to notify, all of whom have agreed to it

	Edit string // the platform's id of the post that it replaces; "" for a new one

	Key     string    // the platform's nonce, the same for every attempt
	Attempt int       // from 1; a later attempt may find the post there already
	Begun   time.Time // when the first attempt began: an earlier post is looked for from here on
}

// Poster posts and returns the platform's id of the post. At a later attempt it first looks for a post of its own made
// since Begun.
//
// Errors: ErrNotPosted if the post is certainly not there and may be tried again at once; ErrClosed if its channel is
// gone or does not take it; ErrGone if the post to be replaced is gone; ErrUnreachable if it can never be posted. After
// any other error it may or may not be there, and is tried again some minutes later under the same key.
type Poster interface {
	Post(ctx context.Context, p Post) (id string, err error)
}

// The errors of a Poster.
var (
	ErrNotPosted   = errors.New("not posted")
	ErrClosed      = errors.New("the channel is gone, or closed to the bot")
	ErrGone        = errors.New("the post to be edited is gone")
	ErrUnreachable = errors.New("cannot be reached")
)

// Text is the post as plain text: where it goes, who is mentioned, the card and its buttons.
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
