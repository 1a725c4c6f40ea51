package discord

import (
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
	"holdbench/internal/discord/api"
	"holdbench/internal/discord/gateway"
	"holdbench/internal/fault"
)

// intents are the events that the bot asks for: servers joined and left, who installed the bot, messages that mention
// it, direct messages. None is privileged, and the bot cannot read what members write to each other.
const intents = discordgo.IntentsGuilds | discordgo.IntentGuildIntegrations |
	discordgo.IntentsGuildMessages | discordgo.IntentsDirectMessages

// event handles an event of the gateway and must not wait. Interactions and messages are answered in goroutines of
// their own. Events about servers are handled later, one after the other, because their order matters: a server may
// be left and joined again.
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

// handle handles an event. A panic is recovered here, or it would end the process.
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

// recovered, deferred, recovers a panic and logs it without what was typed.
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

// inBackground runs do in a goroutine, unless the program is ending.
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
