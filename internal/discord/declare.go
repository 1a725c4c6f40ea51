package discord

import (
	"slices"
	"strconv"
	"strings"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
)

// declarations makes Discord's menus from what the commands declare. Each topic of the menu is a Discord command, and
// the topic's commands are its sub-commands.
func declarations() []*discordgo.ApplicationCommand {
	var all []*discordgo.ApplicationCommand
	for _, topic := range commands.Menu() {
		all = append(all, topicDeclaration(topic))
	}
	for _, cmd := range commands.All() {
		if cmd.Form != nil && cmd.Form.Post != "" {
			post := &discordgo.ApplicationCommand{Type: discordgo.MessageApplicationCommand, Name: cmd.Form.Post}
			all = append(all, scoped(post, commands.ForTrainers(cmd)))
		}
	}
	return all
}

func topicDeclaration(topic commands.Topic) *discordgo.ApplicationCommand {
	d := &discordgo.ApplicationCommand{
		Type: discordgo.ChatApplicationCommand, Name: topic.Name, Description: plain(topic.Summary, 100),
	}
	trainers := true
	for _, cmd := range commands.All() {
		path := strings.Fields(cmd.Name)
		if path[0] != topic.Name {
			continue
		}
		trainers = trainers && commands.ForTrainers(cmd)
		switch len(path) {
		case 1:
			d.Options = optionDeclarations(cmd)
		case 2:
			d.Options = append(d.Options, subCommand(cmd, path[1]))
		default:
			set := subCommands(d, path[1])
			set.Options = append(set.Options, subCommand(cmd, path[2]))
		}
	}
	return scoped(d, trainers)
}

// subCommands returns the group of sub-commands of that name, and makes it if there is none.
func subCommands(d *discordgo.ApplicationCommand, name string) *discordgo.ApplicationCommandOption {
	for _, o := range d.Options {
		if o.Name == name {
			return o
		}
	}
	set := &discordgo.ApplicationCommandOption{
		Type: discordgo.ApplicationCommandOptionSubCommandGroup, Name: name, Description: "the group's list of " + name,
	}
	d.Options = append(d.Options, set)
	return set
}

func subCommand(cmd *commands.Command, name string) *discordgo.ApplicationCommandOption {
	return &discordgo.ApplicationCommandOption{
		Type: discordgo.ApplicationCommandOptionSubCommand, Name: name, Description: plain(cmd.Summary, 100),
		Options: optionDeclarations(cmd),
	}
}

// optionDeclarations declares a command's options. None is required if the command has a form, which asks for what is
// missing.
func optionDeclarations(cmd *commands.Command) []*discordgo.ApplicationCommandOption {
	var all []*discordgo.ApplicationCommandOption
	for _, o := range cmd.Options {
		if !o.Unlisted {
			all = append(all, optionDeclaration(o, o.Required && cmd.Form == nil))
		}
	}
	if !cmd.Free {
		return all
	}
	text := &discordgo.ApplicationCommandOption{
		Type: discordgo.ApplicationCommandOptionString, Name: textOption, Description: plain(cmd.FreeHelp, 100),
		MaxLength: longestText,
	}
	// Required options come first. Next is what most members fill in: options if they have suggestions, else free text.
	at := slices.IndexFunc(all, func(o *discordgo.ApplicationCommandOption) bool { return !o.Required })
	if at < 0 || slices.ContainsFunc(cmd.Options, func(o commands.Option) bool { return o.Suggest != nil }) {
		at = len(all)
	}
	return slices.Insert(all, at, text)
}

// The longest values that the commands read (commands/options.go). Discord takes no longer ones.
const (
	longestText  = 2000
	longestValue = 200
)

// scoped sets where a command can be used and who sees it. Trainers' commands are shown in servers only, to those who
// manage the server until an admin decides otherwise. The bot checks rights itself all the same.
func scoped(d *discordgo.ApplicationCommand, trainers bool) *discordgo.ApplicationCommand {
	d.IntegrationTypes = &[]discordgo.ApplicationIntegrationType{discordgo.ApplicationIntegrationGuildInstall}
	d.Contexts = &[]discordgo.InteractionContextType{discordgo.InteractionContextGuild,
		discordgo.InteractionContextBotDM}
	if trainers {
		manage := int64(permManageServer)
		d.DefaultMemberPermissions = &manage
		d.Contexts = &[]discordgo.InteractionContextType{discordgo.InteractionContextGuild}
	}
	return d
}

// optionDeclaration declares one option. Dates, and quantities that may be typed with a unit, are texts.
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
	case commands.PlatformFile:
		d.Type = discordgo.ApplicationCommandOptionAttachment
	case commands.PlatformChannel:
		d.Type = discordgo.ApplicationCommandOptionChannel
		for _, kind := range postedTo() {
			d.ChannelTypes = append(d.ChannelTypes, discordgo.ChannelType(kind))
		}
	default:
		d.MaxLength = longestValue
	}
	for _, c := range o.Choices {
		d.MaxLength = 0
		d.Choices = append(d.Choices, &discordgo.ApplicationCommandOptionChoice{Name: c, Value: c})
	}
	return d
}

// described is an option's help, with its range and unit.
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

// postedTo are the types of channels for unasked posts: text and announcements.
func postedTo() []int {
	return []int{int(discordgo.ChannelTypeGuildText), int(discordgo.ChannelTypeGuildNews)}
}
