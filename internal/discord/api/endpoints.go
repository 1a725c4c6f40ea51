package api

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"

	"github.com/bwmarrin/discordgo"
)

// apiVersion is the version of Discord's API; discordgo would use 9.
const apiVersion = "10"

// apiPath is the part of a base that Aim adds itself.
var apiPath = regexp.MustCompile(`/api(?:/v\d+)?/?$`)

// Aim points discordgo at an API: Discord's own, a proxy or a stand-in. base is an http or https address, with or
// without /api/v10 at its end. discordgo keeps each address in a global variable, computed when it is loaded, so each
// is set here. Call Aim once, before anything else.
func Aim(base string) error {
	address, err := url.Parse(base)
	if err != nil || address.Host == "" || address.Scheme != "http" && address.Scheme != "https" {
		return fmt.Errorf("%q is not an http or https address", base)
	}
	root := strings.TrimRight(apiPath.ReplaceAllString(base, ""), "/") + "/"
	api := root + "api/v" + apiVersion + "/"
	discordgo.APIVersion = apiVersion
	for variable, value := range map[*string]string{
		&discordgo.EndpointDiscord:            root,
		&discordgo.EndpointAPI:                api,
		&discordgo.EndpointGuilds:             api + "guilds/",
		&discordgo.EndpointChannels:           api + "channels/",
		&discordgo.EndpointUsers:              api + "users/",
		&discordgo.EndpointGateway:            api + "gateway",
		&discordgo.EndpointGatewayBot:         api + "gateway/bot",
		&discordgo.EndpointWebhooks:           api + "webhooks/",
		&discordgo.EndpointStickers:           api + "stickers/",
		&discordgo.EndpointStageInstances:     api + "stage-instances",
		&discordgo.EndpointSKUs:               api + "skus",
		&discordgo.EndpointGuildCreate:        api + "guilds",
		&discordgo.EndpointApplications:       api + "applications",
		&discordgo.EndpointOAuth2:             api + "oauth2/",
		&discordgo.EndpointOAuth2Applications: api + "oauth2/applications",
		&discordgo.EndpointOauth2:             api + "oauth2/",
		&discordgo.EndpointOauth2Applications: api + "oauth2/applications",
		&discordgo.EndpointVoice:              api + "voice/",
		&discordgo.EndpointVoiceRegions:       api + "voice/regions",
		&discordgo.EndpointNitroStickersPacks: api + "sticker-packs",
	} {
		*variable = value
	}
	return nil
}

// The addresses of an interaction's answers. They contain the interaction's token.
func callbackURL(id, token string) string {
	return discordgo.EndpointInteractionResponse(id, token)
}

func originalURL(app, token string) string {
	return discordgo.EndpointWebhookMessage(app, token, "@original")
}
