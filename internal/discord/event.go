package discord

import (
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/gateway"
	"holdbench/internal/fault"
)

// intents are what the gateway is asked to tell: servers joined and left, who
// installed the bot, messages that mention it, direct messages. None is
// privileged; what members write to one another is not read.
const intents = discordgo.IntentsGuilds | discordgo.IntentGuildIntegrations |
	discordgo.IntentsGuildMessages | discordgo.IntentsDirectMessages

// event takes what the gateway tells and must not wait. What is asked is answered
// beside all else, at once. What changes the bot's picture of its servers is done
// later, one after the other: a server joined after it was left is not the same as
// the other way round.
func (b *Bot) event(from gateway.Source, e *discordgo.Event) (later bool) {
	switch e.Type {
	case "READY":
		n := api.Read(e.RawData)
		b.self.Store(&identity{user: n.At("user").At("id").Text(), application: n.At("application").At("id").Text()})
		return true
	case "INTERACTION_CREATE", "MESSAGE_CREATE":
		received := time.Now()
		go b.handle(from, e, received)
	case "GUILD_CREATE", "GUILD_DELETE", "INTEGRATION_CREATE", "GUILD_ROLE_CREATE", "GUILD_ROLE_UPDATE":
		return true
	}
	return false
}

// handle does what an event asks for. Nothing that goes wrong in here may get
// out, or the process would end.
func (b *Bot) handle(from gateway.Source, e *discordgo.Event, received time.Time) {
	b.inFlight.begin()
	defer b.inFlight.done()
	if asked := e.Type == "INTERACTION_CREATE" || e.Type == "MESSAGE_CREATE"; !asked && b.ending.Load() {
		return
	}
	defer b.recovered(e.Type, func() []string { return api.Read(e.RawData).Texts() })
	switch e.Type {
	case "READY":
		b.ready(from, api.Read(e.RawData))
	case "INTERACTION_CREATE":
		b.interact(e.RawData, received)
	case "MESSAGE_CREATE":
		b.messageCreated(e.RawData)
	case "GUILD_CREATE":
		b.joined(e.RawData)
	case "GUILD_DELETE":
		b.left(e.RawData)
	case "INTEGRATION_CREATE":
		b.installed(e.RawData)
	case "GUILD_ROLE_CREATE", "GUILD_ROLE_UPDATE":
		b.servers.role(api.Read(e.RawData), b.settings.TrainerRole)
	}
}

// recovered ends a panic where it is: it is told to the log, without what was typed,
// and nobody else notices.
func (b *Bot) recovered(doing string, typed func() []string) {
	if r := recover(); r != nil {
		pairs := []any{"reference", commands.NewReference(), "doing", doing}
		b.log.Error("panic", append(pairs, fault.Pairs(b.loggable(fault.Panicked(r), typed()...))...)...)
	}
}

func nothing() []string { return nil }

// ready notes which servers a shard is in, and has the commands registered.
func (b *Bot) ready(from gateway.Source, n api.Node) {
	var ids []string
	for _, guild := range n.At("guilds").Items() {
		ids = append(ids, guild.At("id").Text())
	}
	b.listed(from.ID, from.Count, ids)
	if from.ID == 0 {
		b.inBackground("registering", b.register)
	}
}

// inBackground does something beside all else.
func (b *Bot) inBackground(doing string, do func()) {
	b.inFlight.begin()
	if b.ending.Load() {
		b.inFlight.done()
		return
	}
	go func() {
		defer b.inFlight.done()
		defer b.recovered(doing, nothing)
		do()
	}()
}
