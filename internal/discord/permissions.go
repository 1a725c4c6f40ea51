package discord

import (
	"context"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/api"
)

// neededPermissions are the permissions that the bot needs in a server (topics/permissions), named as in Discord's
// settings. channel marks those that it needs in a channel to post there.
var neededPermissions = [...]struct {
	bit     int64
	name    string
	channel bool
}{
	{1 << 10, "View Channels", true},
	{1 << 11, "Send Messages", true},
	{1 << 14, "Embed Links", true},
	{1 << 15, "Attach Files", true},
	{1 << 16, "Read Message History", true},
	{1 << 38, "Send Messages in Threads", false},
}

// invitePermissions combines them for the invite link.
func invitePermissions() int64 {
	sum := int64(0)
	for _, p := range neededPermissions {
		sum |= p.bit
	}
	return sum
}

// lacking names the needed permissions that are not given: those for a channel, or all.
func lacking(given int64, channel bool) []string {
	var names []string
	for _, p := range neededPermissions {
		if given&permAdministrator == 0 && given&p.bit == 0 && (p.channel || !channel) {
			names = append(names, p.name)
		}
	}
	return names
}

// lackingIn names the permissions that the bot lacks to post in a channel of a server. A channel that is gone or in
// another server counts as one that it cannot view.
func (b *Bot) lackingIn(ctx context.Context, server, channel string) ([]string, error) {
	cannotView := []string{neededPermissions[0].name}
	if !isID(channel) {
		return cannotView, nil
	}
	place, err := b.client.Get(ctx, discordgo.EndpointChannel(channel), discordgo.EndpointChannel(channel))
	if gone(err) || err == nil && place.At("guild_id").Text() != server {
		return cannotView, nil
	}
	if err != nil {
		return nil, err
	}
	roles, err := b.client.Get(ctx, discordgo.EndpointGuildRoles(server), discordgo.EndpointGuildRoles(server))
	if err != nil {
		return nil, err
	}
	me := b.self.Load()
	if me == nil {
		return nil, errNotConnected
	}
	member, err := b.client.Get(ctx, discordgo.EndpointGuildMember(server, me.user),
		discordgo.EndpointGuildMember(server, ""))
	if err != nil {
		return nil, err
	}
	return lacking(permitted(server, me.user, member, roles, place), true), nil
}

// permitted computes a member's permissions in a channel (topics/permissions, overwrites): those of the everyone role
// and of the member's roles, then the channel's overwrites for everyone, for those roles together, and for the
// member.
func permitted(server, user string, member, roles, channel api.Node) int64 {
	own := map[string]bool{server: true}
	for _, role := range member.At("roles").Items() {
		own[role.Text()] = true
	}
	given := int64(0)
	for _, role := range roles.Items() {
		if own[role.At("id").Text()] {
			given |= role.At("permissions").Whole()
		}
	}
	delete(own, server)
	for _, of := range []map[string]bool{{server: true}, own, {user: true}} {
		allow, deny := int64(0), int64(0)
		for _, one := range channel.At("permission_overwrites").Items() {
			if of[one.At("id").Text()] {
				allow |= one.At("allow").Whole()
				deny |= one.At("deny").Whole()
			}
		}
		if given&permAdministrator == 0 {
			given = given&^deny | allow
		}
	}
	return given
}
