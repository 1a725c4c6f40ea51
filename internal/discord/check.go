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

// InviteLink is where whoever manages a server lets the bot in, with the least
// permissions.
func InviteLink(application string) string {
	return fmt.Sprintf("https://discord.com/oauth2/authorize?client_id=%s&scope=bot+applications.commands&permissions=%d",
		application, invitePermissions())
}

// Finding is one thing that was looked at.
type Finding struct {
	OK   bool
	Text string // one line
}

// Check looks whether token, intents, commands and permissions are right. Where
// Discord cannot be asked further nothing further is said.
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
	if app == nil {
		return findings
	}
	findings = append(findings, Finding{true, "Intents: none that needs switching on; messages are read only where " +
		"they mention the bot or are sent to it."})
	findings = append(findings, b.checkCommands(ctx, app.ID))
	return append(findings, b.checkServers(ctx, app.ID)...)
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

// application is what is of use of an application.
type application struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Public bool   `json:"bot_public"`
}

func (b *Bot) checkApplication(ctx context.Context) (*application, Finding) {
	var app application
	err := b.client.Do(ctx, func(options ...discordgo.RequestOption) error {
		body, err := b.client.Session.RequestWithBucketID(http.MethodGet, discordgo.EndpointApplication("@me"), nil,
			discordgo.EndpointApplication("@me"), options...)
		if err != nil {
			return err
		}
		return discordgo.Unmarshal(body, &app)
	})
	if err != nil {
		return nil, Finding{false, "Application: it cannot be read (" + err.Error() + ")."}
	}
	words := "only its owner can add it to servers"
	if app.Public {
		words = "anybody can add it to their server; switch Public Bot off at its Bot page if it is for one group"
	}
	return &app, Finding{true, fmt.Sprintf("Application: %s; %s. Invite: %s", plain(app.Name, 100), words,
		InviteLink(app.ID))}
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

// checkServers says of each server what the bot may not do there. A channel can
// forbid more.
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
		return []Finding{{false, "Servers: the bot is in none. Invite it: " + InviteLink(app)}}
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
