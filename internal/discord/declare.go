package discord

import (
	"slices"
	"strconv"
	"strings"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
)

// declarations are Discord's menus, made from what the commands declare.
func declarations() []*discordgo.ApplicationCommand {
	var all []*discordgo.ApplicationCommand
	for _, cmd := range commands.All() {
		all = append(all, chatDeclaration(cmd))
		if cmd.Form != nil && cmd.Form.Post != "" {
			all = append(all, scoped(cmd, &discordgo.ApplicationCommand{Type: discordgo.MessageApplicationCommand,
				Name: cmd.Form.Post}))
		}
	}
	return all
}

func chatDeclaration(cmd *commands.Command) *discordgo.ApplicationCommand {
	d := &discordgo.ApplicationCommand{Type: discordgo.ChatApplicationCommand, Name: cmd.Name,
		Description: plain(cmd.Summary, 100)}
	for _, o := range cmd.Options {
		// What a form can ask for need not be given.
		d.Options = append(d.Options, optionDeclaration(o, o.Required && cmd.Form == nil))
	}
	if cmd.Free {
		text := &discordgo.ApplicationCommandOption{
			Type: discordgo.ApplicationCommandOptionString, Name: textOption, Description: plain(cmd.FreeHelp, 100),
			MaxLength: longestText,
		}
		// What is required comes first; next to it stands what most will fill in.
		at := slices.IndexFunc(d.Options, func(o *discordgo.ApplicationCommandOption) bool { return !o.Required })
		if at < 0 || hasHints(cmd) {
			at = len(d.Options)
		}
		d.Options = slices.Insert(d.Options, at, text)
	}
	return scoped(cmd, d)
}

// Lengths that the commands read (commands/options.go) and Discord may hold back
// beyond.
const (
	longestText  = 2000
	longestValue = 200
)

// hasHints reports whether a command completes what is typed: then its options
// come before free text.
func hasHints(cmd *commands.Command) bool {
	return slices.ContainsFunc(cmd.Options, func(o commands.Option) bool { return o.Suggest != nil })
}

// scoped says where a command can be used and who is shown it: trainers' ones
// only by those who manage the server, until an admin decides otherwise. The bot
// checks rights itself all the same.
func scoped(cmd *commands.Command, d *discordgo.ApplicationCommand) *discordgo.ApplicationCommand {
	d.IntegrationTypes = &[]discordgo.ApplicationIntegrationType{discordgo.ApplicationIntegrationGuildInstall}
	d.Contexts = &[]discordgo.InteractionContextType{discordgo.InteractionContextGuild,
		discordgo.InteractionContextBotDM}
	if commands.ForTrainers(cmd) {
		manage := int64(permManageServer)
		d.DefaultMemberPermissions = &manage
		d.Contexts = &[]discordgo.InteractionContextType{discordgo.InteractionContextGuild}
	}
	return d
}

// optionDeclaration is one option in Discord's words. Dates and what a unit may
// be typed to are texts.
func optionDeclaration(o commands.Option, required bool) *discordgo.ApplicationCommandOption {
	d := &discordgo.ApplicationCommandOption{
		Type: discordgo.ApplicationCommandOptionString, Name: o.Name, Description: described(o), Required: required,
		Autocomplete: o.Suggest != nil,
	}
	switch o.Kind {
	case commands.Number, commands.Whole:
		least := o.Min
		d.Type, d.MinValue, d.MaxValue = discordgo.ApplicationCommandOptionNumber, &least, o.Max
		if o.Kind == commands.Whole {
			d.Type = discordgo.ApplicationCommandOptionInteger
		}
	case commands.YesNo:
		d.Type = discordgo.ApplicationCommandOptionBoolean
	case commands.PlatformRole:
		d.Type = discordgo.ApplicationCommandOptionRole
	case commands.PlatformChannel:
		d.Type, d.ChannelTypes = discordgo.ApplicationCommandOptionChannel,
			[]discordgo.ChannelType{discordgo.ChannelTypeGuildText, discordgo.ChannelTypeGuildNews}
	default:
		d.MaxLength = longestValue
	}
	for _, c := range o.Choices {
		d.MaxLength = 0
		d.Choices = append(d.Choices, &discordgo.ApplicationCommandOptionChoice{Name: c, Value: c})
	}
	return d
}

// described is an option's help with its unit.
func described(o commands.Option) string {
	words := o.Help
	switch o.Kind {
	case commands.Number:
		words += ", " + trim(o.Min) + " to " + trim(o.Max) + " " + o.Unit
	case commands.Date:
		words += ", as in 2026-05-14 or yesterday"
	}
	return plain(words, 100)
}

func trim(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func equalFold(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}
