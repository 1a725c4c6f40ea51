package discord

import (
	"slices"
	"strconv"
	"strings"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/commands"
)

// declarations are Discord's menus, made from what the commands declare: a topic of the
// menu is a command there, and what it is for its sub-commands.
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

// subCommands is the set of that name, made where it is not there yet.
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

// optionDeclarations are what a command takes. What a form can ask for need not be given.
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
	// What is required comes first; next to it stands what most will fill in: options where they
	// complete what is typed, else free text.
	at := slices.IndexFunc(all, func(o *discordgo.ApplicationCommandOption) bool { return !o.Required })
	if at < 0 || slices.ContainsFunc(cmd.Options, func(o commands.Option) bool { return o.Suggest != nil }) {
		at = len(all)
	}
	return slices.Insert(all, at, text)
}

// Lengths that the commands read (commands/options.go) and Discord may hold back
// beyond.
const (
	longestText  = 2000
	longestValue = 200
)

// scoped says where a command can be used and who is shown it: trainers' ones
// only by those who manage the server, until an admin decides otherwise. The bot
// checks rights itself all the same.
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

// postedTo are the kinds of channels that something unasked can go to: text and news.
func postedTo() []int {
	return []int{int(discordgo.ChannelTypeGuildText), int(discordgo.ChannelTypeGuildNews)}
}
