package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"time"

	"holdbench/config"
	"holdbench/internal/discord"
	"holdbench/internal/discord/api"
	"holdbench/internal/groups"
	"holdbench/internal/knowledge"
)

func checkSubcommand() subcommand {
	return subcommand{name: "check", summary: "check settings, store, backups, and Discord's token, commands and " +
		"permissions; changes nothing", run: runCheck}
}

// runCheck checks settings, store, backups and Discord. It prints one line for each finding, with the remedy where
// something is wrong, and fails if anything is.
func runCheck(ctx context.Context, call *invocation) (err error) {
	if len(call.args) > 0 {
		return misused("check takes nothing")
	}
	settings, err := call.settings()
	if err != nil {
		return err
	}
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	findings := call.checkSettings(settings)
	store, found := checkStore(ctx, settings)
	findings = append(findings, store, checkBackups(settings, found))
	findings = append(findings, checkReaders(settings)...)
	for _, noted := range knowledge.Ahead(found.Noted, time.Now()) {
		findings = append(findings, wrong("Clock: %s. Correct this machine's clock if it is wrong. "+
			"What is due is done all the same.", noted))
	}
	findings = append(findings, checkDiscord(ctx, settings, call.logger(settings.Log))...)
	wrong := 0
	for _, f := range findings {
		mark := "ok   "
		if !f.OK {
			mark, wrong = "WRONG", wrong+1
		}
		if _, err := fmt.Fprintln(call.stdout, mark, f.Text); err != nil {
			return err
		}
	}
	if wrong > 0 {
		return fmt.Errorf("%d of %d are not right", wrong, len(findings))
	}
	return nil
}

func right(format string, args ...any) discord.Finding {
	return discord.Finding{OK: true, Text: fmt.Sprintf(format, args...)}
}

func wrong(format string, args ...any) discord.Finding {
	return discord.Finding{Text: fmt.Sprintf(format, args...)}
}

// checkSettings says where the settings come from and which of their files others can read. Loading them has already
// validated them.
func (call *invocation) checkSettings(settings config.Config) []discord.Finding {
	from := "no file"
	if path := call.settingsPath(); path != "" {
		from = path
	}
	findings := []discord.Finding{right("Settings: read from %s and the environment; bot config lists them.", from)}
	for _, path := range call.openFiles(settings) {
		findings = append(findings, wrong("Settings: others can read %s, and the token may be in it; chmod 600 %s.",
			path, path))
	}
	if address := settings.Inside.Listen; address != "" {
		findings = append(findings, checkWindow(address))
	}
	return findings
}

func checkWindow(address string) discord.Finding {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return right("Inside: %s is taken; if not by the running bot, set inside.listen to another.", address)
	}
	l.Close() // opened only to see whether it is free
	return right("Inside: %s is free.", address)
}

// writable makes a file in a folder, removes it, and returns what went wrong.
func writable(folder string) error {
	file, err := os.CreateTemp(folder, ".holdbench-check-*")
	if err != nil {
		return err
	}
	return errors.Join(file.Close(), os.Remove(file.Name()))
}

// checkDiscord asks Discord. It opens no store, because that would migrate an older one.
func checkDiscord(ctx context.Context, settings config.Config, log *slog.Logger) []discord.Finding {
	if settings.Discord.Token == "" {
		return []discord.Finding{wrong("Token: none is set, so the program opens the local room and not Discord. " +
			"Set HOLDBENCH_DISCORD_TOKEN, or discord.token_file to a file with it, to the bot token of the " +
			"application's Bot page.")}
	}
	if err := api.Aim(settings.Discord.APIBase); err != nil {
		return []discord.Finding{wrong("Discord: %v.", err)}
	}
	bot, err := discord.New(discord.Settings{Token: settings.Discord.Token.Reveal()}, &groups.All{Log: log},
		log)
	if err != nil {
		return []discord.Finding{wrong("Discord: %v.", err)}
	}
	return bot.Check(ctx)
}
