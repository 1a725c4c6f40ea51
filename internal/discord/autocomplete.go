package discord

import (
	"context"
	"strconv"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
)

// autocompleteLimit is how long suggestions may take. They cannot be deferred: if they are late, the last ones are sent
// instead.
const autocompleteLimit = 1500 * time.Millisecond

// autocomplete suggests values for the option that the member is typing.
func (t *turn) autocomplete(ctx context.Context) {
	req := t.bot.request(t.ix.data)
	option, typed, number := "", "", false
	_, filled := chosen(t.ix.data)
	for _, o := range filled {
		if o.At("focused").Yes() {
			option, typed = o.At("name").Text(), o.At("value").Text()
			kind := discordgo.ApplicationCommandOptionType(o.At("type").Whole())
			number = kind == discordgo.ApplicationCommandOptionInteger ||
				kind == discordgo.ApplicationCommandOptionNumber
		}
	}
	names := t.suggestions(ctx, req, option, typed)
	_ = t.callback(ctx, callback{Type: answerSuggestions, Data: asSuggestions(names, number)}, nil) // logs its errors
}

// suggestions returns what the command suggests, or if that takes too long, what fits of the last suggestions.
func (t *turn) suggestions(ctx context.Context, req commands.Request, option, typed string) []string {
	ctx, stop := context.WithDeadline(ctx, t.received.Add(autocompleteLimit))
	defer stop()
	key := t.ix.server + "/" + t.ix.person.id + "/" + option
	made := make(chan []string, 1)
	go func() {
		defer t.bot.recovered("suggestions", t.typed)
		made <- t.suggest(ctx, req, option, typed)
	}()
	select {
	case names := <-made:
		if names != nil {
			t.bot.lastSuggested.Put(key, names)
			return names
		}
	case <-ctx.Done():
	}
	last, _ := t.bot.lastSuggested.Get(key)
	return atHand(last, typed)
}

// suggest asks the command; nil if that fails.
func (t *turn) suggest(ctx context.Context, req commands.Request, option, typed string) []string {
	if t.bot.ending.Load() || !t.bot.limits.Suggest(t.ix.server, t.ix.person.id) {
		return nil
	}
	leave, err := t.bot.suggestionWork.enter(ctx, t.community())
	if err != nil {
		return nil
	}
	defer leave()
	if _, settled := t.settle(ctx, req); !settled {
		return nil
	}
	names, err := commands.Suggest(ctx, t.env, t.signed(req), option, typed)
	if err != nil {
		t.bot.log.WarnContext(ctx, "no suggestions", "command", t.bot.named(req.Command), "community", t.server,
			"error", t.bot.loggable(err, t.typed()...))
		return nil
	}
	if names == nil {
		names = []string{}
	}
	return names
}

// atHand returns those of the last suggestions that contain what is typed. If there are none, it returns what is typed
// itself, so that it can be sent as it is.
func atHand(last []string, typed string) []string {
	names := []string{}
	for _, name := range last {
		if strings.Contains(strings.ToLower(name), strings.ToLower(typed)) {
			names = append(names, name)
		}
	}
	if len(names) == 0 && strings.TrimSpace(typed) != "" {
		names = append(names, typed)
	}
	return names
}

// asSuggestions makes names Discord's suggestions. A name that is too long for Discord to send back whole is left
// out, because half a name would be another one. For a number, only the number is sent back, and the text after it
// may be cut.
func asSuggestions(names []string, number bool) suggestionList {
	list := suggestionList{Choices: []suggestion{}}
	for _, name := range names {
		one := suggestion{Name: tidy(name), Value: tidy(name)}
		if number {
			digits, _, _ := strings.Cut(one.Name, " ")
			value, err := strconv.ParseFloat(digits, 64)
			if err != nil {
				continue
			}
			one = suggestion{Name: inShort(name, maxSelectText), Value: value}
		}
		if one.Name != "" && length(one.Name) <= maxSelectText && len(list.Choices) < maxOptions {
			list.Choices = append(list.Choices, one)
		}
	}
	return list
}
