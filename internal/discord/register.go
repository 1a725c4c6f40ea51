package discord

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"github.com/bwmarrin/discordgo"
)

// register makes Discord's menus what the commands declare. It overwrites them only if they differ, because Discord
// limits how many commands can be made in a day.
func (b *Bot) register() {
	ctx, stop := context.WithTimeout(b.life, postLimit)
	defer stop()
	app := b.self.Load().application
	have, err := b.registered(ctx, app)
	if err != nil {
		b.log.ErrorContext(ctx, "commands cannot be read", "error", err)
		return
	}
	want := b.declared()
	names := differing(have, want)
	if len(names) == 0 {
		return
	}
	err = b.client.Do(ctx, func(options ...discordgo.RequestOption) error {
		_, err := b.client.Session.ApplicationCommandBulkOverwrite(app, "", want, options...)
		return err
	})
	if err != nil {
		b.log.ErrorContext(ctx, "commands cannot be registered", "error", err)
		return
	}
	b.log.InfoContext(ctx, "commands registered", "count", len(want), "changed", names)
}

// registered returns the commands that Discord has.
func (b *Bot) registered(ctx context.Context, app string) (have []*discordgo.ApplicationCommand, err error) {
	err = b.client.Do(ctx, func(options ...discordgo.RequestOption) (err error) {
		have, err = b.client.Session.ApplicationCommands(app, "", options...)
		return err
	})
	return have, err
}

// differing names the commands that are missing, not declared, or declared differently.
func differing(have, want []*discordgo.ApplicationCommand) []string {
	known, declared := essences(have), essences(want)
	var names []string
	for name, essence := range declared {
		if known[name] != essence {
			names = append(names, name)
		}
	}
	for name := range known {
		if declared[name] == "" {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// essences are commands by type and name, each as a text of what the bot declares. Discord adds fields, and leaves out
// empty ones.
func essences(all []*discordgo.ApplicationCommand) map[string]string {
	texts := map[string]string{}
	for _, c := range all {
		kind := c.Type
		if kind == 0 {
			kind = discordgo.ChatApplicationCommand
		}
		text, err := json.Marshal([]any{
			c.Description, c.DefaultMemberPermissions, c.Contexts, c.IntegrationTypes, optionEssences(c.Options),
			c.NameLocalizations, c.DescriptionLocalizations,
		})
		if err != nil {
			continue // counts as different
		}
		name := "/" + c.Name
		if kind != discordgo.ChatApplicationCommand {
			name = "“" + c.Name + "”"
		}
		texts[name] = string(text)
	}
	return texts
}

// optionEssences leaves out channel types, which Discord need not return.
func optionEssences(options []*discordgo.ApplicationCommandOption) []any {
	parts := []any{}
	for _, o := range options {
		choices := []string{}
		for _, c := range o.Choices {
			value, _ := c.Value.(string) // the bot declares texts only
			choices = append(choices, c.Name+"="+value)
		}
		least := 0.0
		if o.MinValue != nil {
			least = *o.MinValue
		}
		parts = append(parts, []any{
			o.Type, o.Name, o.Description, o.Required, o.Autocomplete, strings.Join(choices, ";"), least, o.MaxValue,
			o.MaxLength, o.NameLocalizations, o.DescriptionLocalizations,
		})
	}
	return parts
}
