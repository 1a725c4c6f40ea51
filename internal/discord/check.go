package discord

import (
	"context"
	"fmt"
	"net/http"
	"strings"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/api"
	"holdbench/internal/discord/gateway"
)

// inviteLink is the page on which somebody who manages a server adds the bot to it, with the least permissions.
func inviteLink(application string) string {
	return fmt.Sprintf("https://discord.com/oauth2/authorize"+
		"?client_id=%s&scope=bot+applications.commands&permissions=%d", application, invitePermissions())
}

// Finding is the result of one check.
type Finding struct {
	OK   bool
	Text string // one line
}

// Check checks token, intents, commands and permissions. If Discord does not answer one question, it asks no further.
func (b *Bot) Check(ctx context.Context) []Finding {
	advice, err := b.checkToken(ctx)
	if err != nil {
		return []Finding{{false, "Token: " + tokenWords(err)}}
	}
	findings := []Finding{{true, fmt.Sprintf(
		"Token: Discord knows it. %d shard(s) advised, %d of %d starts left today.",
		advice.Shards, advice.SessionStartLimit.Remaining, advice.SessionStartLimit.Total)}}
	app, finding := b.checkApplication(ctx)
	findings = append(findings, finding)
	if app == "" {
		return findings
	}
	findings = append(findings, Finding{true, "Intents: none needs switching on; the bot reads only messages that " +
		"mention it and direct messages."})
	findings = append(findings, b.checkCommands(ctx, app))
	return append(findings, b.checkServers(ctx, app)...)
}

func (b *Bot) checkToken(ctx context.Context) (said *discordgo.GatewayBotResponse, err error) {
	err = b.client.Do(ctx, func(options ...discordgo.RequestOption) (err error) {
		said, err = b.client.Session.GatewayBot(options...)
		return err
	})
	return said, err
}

func tokenWords(err error) string {
	if api.RefusedAs(err, http.StatusUnauthorized) {
		return gateway.UnknownToken + "."
	}
	return "Discord cannot be reached (" + err.Error() + ")."
}

// checkApplication returns the application's id, "" if it cannot be read.
func (b *Bot) checkApplication(ctx context.Context) (id string, f Finding) {
	address := discordgo.EndpointApplication("@me")
	app, err := b.client.Get(ctx, address, address)
	if err != nil {
		return "", Finding{false, "Application: it cannot be read (" + err.Error() + ")."}
	}
	words := "only its owner can add it to servers"
	if app.At("bot_public").Yes() {
		words = "anybody can add it to their server; switch Public Bot off at its Bot page if it is for one group"
	}
	id = app.At("id").Text()
	return id, Finding{true, fmt.Sprintf("Application: %s; %s. Invite: %s", plain(app.At("name").Text(), 100), words,
		inviteLink(id))}
}

func (b *Bot) checkCommands(ctx context.Context, app string) Finding {
	have, err := b.registered(ctx, app)
	if err != nil {
		return Finding{false, "Commands: they cannot be read (" + err.Error() + ")."}
	}
	want := b.declared()
	if names := differing(have, want); len(names) > 0 {
		return Finding{false, "Commands: not as declared (" + strings.Join(names, ", ") +
			"); the next start of the bot puts them right."}
	}
	return Finding{true, fmt.Sprintf("Commands: all %d are registered as declared.", len(want))}
}

// checkServers says which permissions the bot lacks in each server. A channel can take away more.
func (b *Bot) checkServers(ctx context.Context, app string) []Finding {
	var servers []*discordgo.UserGuild
	err := b.client.Do(ctx, func(options ...discordgo.RequestOption) (err error) {
		servers, err = b.client.Session.UserGuilds(200, "", "", false, options...)
		return err
	})
	if err != nil {
		return []Finding{{false, "Servers: they cannot be read (" + err.Error() + ")."}}
	}
	if len(servers) == 0 {
		return []Finding{{false, "Servers: the bot is in none. Invite it: " + inviteLink(app)}}
	}
	var findings []Finding
	for _, s := range servers {
		if lacking := lacking(s.Permissions, false); len(lacking) > 0 {
			findings = append(findings, Finding{false, "Server " + plain(s.Name, 100) + ": the bot's role lacks " +
				strings.Join(lacking, ", ") + "."})
		}
	}
	if findings == nil {
		return []Finding{{true, fmt.Sprintf("Servers: %d, with all permissions that are needed.", len(servers))}}
	}
	return findings
}
