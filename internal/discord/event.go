package discord

import (
	"context"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
)

// event takes what the gateway tells, in its order. The library calls it where it
// reads the gateway, and with its lock held: it must not wait. What is asked goes
// its own way at once; what changes the bot's picture of its servers is done one
// after the other, for a server joined after it was left is not the same as the
// other way round.
func (b *Bot) event(s *shard, e *discordgo.Event) {
	switch e.Type {
	case "READY":
		b.meet(s, parse(e.RawData))
		s.changes.put(e)
	case "INTERACTION_CREATE", "MESSAGE_CREATE":
		heard := time.Now()
		go b.handle(s, e, heard)
	case "GUILD_CREATE", "GUILD_DELETE", "INTEGRATION_CREATE", "GUILD_ROLE_CREATE", "GUILD_ROLE_UPDATE":
		s.changes.put(e)
	}
}

// meet notes who the bot is and where a lost session is to be resumed.
func (b *Bot) meet(s *shard, n node) {
	s.resume.set(n.at("resume_gateway_url").text())
	s.gate.taken(s.id, time.Now())
	b.self.Store(&identity{user: n.at("user").at("id").text(), application: n.at("application").at("id").text()})
}

// keepUp makes the changes that the gateway tells of, until ctx ends.
func (s *shard) keepUp(ctx context.Context) {
	for {
		e, ok := s.changes.take(ctx)
		if !ok {
			return
		}
		s.bot.handle(s, e, time.Now())
	}
}

// handle does what an event asks for. Nothing that goes wrong in here may get
// out, or the process would end.
func (b *Bot) handle(s *shard, e *discordgo.Event, heard time.Time) {
	if !b.hands.take() {
		return // the program is ending
	}
	defer b.hands.put()
	defer b.recovered(e.Type, func() []string { return parse(e.RawData).texts() })
	switch e.Type {
	case "READY":
		b.ready(s, parse(e.RawData))
	case "INTERACTION_CREATE":
		b.interact(e.RawData, heard)
	case "MESSAGE_CREATE":
		b.hear(e.RawData)
	case "GUILD_CREATE":
		b.joined(e.RawData)
	case "GUILD_DELETE":
		b.left(e.RawData)
	case "INTEGRATION_CREATE":
		b.installed(e.RawData)
	case "GUILD_ROLE_CREATE", "GUILD_ROLE_UPDATE":
		b.servers.role(parse(e.RawData), b.settings.TrainerRole)
	}
}

// recovered ends a panic where it is: it is told to the log, without what was typed,
// and nobody else notices.
func (b *Bot) recovered(doing string, typed func() []string) {
	if r := recover(); r != nil {
		pairs := []any{"reference", commands.NewReference(), "doing", doing}
		b.log.Error("panic", append(pairs, commands.Fault(b.hush(commands.Panicked(r), typed()...))...)...)
	}
}

func nothing() []string { return nil }

// ready notes which servers a shard is in, and has the commands registered.
func (b *Bot) ready(s *shard, n node) {
	var ids []string
	for _, guild := range n.at("guilds").items() {
		ids = append(ids, guild.at("id").text())
	}
	b.listed(s.id, s.count, ids)
	if s.id == 0 {
		b.aside("registering", b.register)
	}
}

// aside does something beside all else.
func (b *Bot) aside(doing string, do func()) {
	if !b.hands.take() {
		return
	}
	go func() {
		defer b.hands.put()
		defer b.recovered(doing, nothing)
		do()
	}()
}
