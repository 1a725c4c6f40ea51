package gateway

import (
	"errors"
	"fmt"
	"net/http"

	"github.com/gorilla/websocket"

	"holdbench/internal/discord/api"
)

// ErrForGood says that Discord refuses the bot until somebody has put right what the error names. Starting again is
// of no use and does harm: after too many starts a day Discord resets the token.
var ErrForGood = errors.New("starting again does not help")

// UnknownToken says what to do if Discord does not know the token.
const UnknownToken = "Discord does not know the token: set HOLDBENCH_DISCORD_TOKEN to the bot token of the " +
	"application's Bot page"

// closedForGood says what to do about each code with which the gateway closes for good
// (topics/opcodes-and-status-codes).
var closedForGood = map[int]string{
	4004: UnknownToken,
	4010: "Discord does not know this shard: set discord.shards to 0",
	4011: "the bot is in too many servers for so few shards: set discord.shards to 0",
	4012: "Discord no longer speaks this version of its gateway: a newer program is needed",
	4013: "Discord does not know the intents that the program asks for: a newer program is needed",
	4014: "Discord does not allow the intents that the program asks for: switch them on at the application's Bot page",
}

// forGood reports whether trying again is of no use.
func forGood(err error) bool {
	if closed, is := errors.AsType[*websocket.CloseError](err); is {
		return closedForGood[closed.Code] != ""
	}
	return api.RefusedAs(err, http.StatusUnauthorized)
}

// fatal wraps such an error with ErrForGood and what to do about it.
func fatal(err error) error {
	if closed, is := errors.AsType[*websocket.CloseError](err); is && closedForGood[closed.Code] != "" {
		return fmt.Errorf("%s (%w); %w", closedForGood[closed.Code], err, ErrForGood)
	}
	return fmt.Errorf("%s (%w); %w", UnknownToken, err, ErrForGood)
}
