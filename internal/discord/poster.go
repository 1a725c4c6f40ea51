package discord

import (
	"context"
	"crypto/sha256"
	"encoding/base32"

	"holdbench/internal/commands"
)

// maxNonce is how long a nonce may be (resources/message).
const maxNonce = 25

// Post puts a Card into a channel of a server, unasked. However often it is sent
// with one key within some minutes, it is there once: Discord sees to that.
func (b *Bot) Post(ctx context.Context, server, channel string, card commands.Card, key string) error {
	return b.post(ctx, channel, b.message(card, place{server: server}, "").once(nonce(key)))
}

// Tell sends somebody a Card in private, unasked; with one key once, as Post.
// Its buttons ask the server's group.
func (b *Bot) Tell(ctx context.Context, server, user string, card commands.Card, key string) error {
	return b.tell(ctx, user, b.message(card, place{server: server, direct: true}, "").once(nonce(key)))
}

// nonce is a key of any length as a nonce.
func nonce(key string) string {
	if key == "" {
		return ""
	}
	sum := sha256.Sum256([]byte(key))
	return base32.StdEncoding.EncodeToString(sum[:])[:maxNonce]
}
