package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"

	"holdbench/config"
	"holdbench/internal/commands"
	"holdbench/internal/discord"
	"holdbench/internal/knowledge"
)

func checkSubcommand() subcommand {
	return subcommand{name: "check", summary: "whether settings, store and backups are right, and Discord's token, commands and permissions; changes nothing", run: runCheck}
}

// runCheck looks at everything that can be looked at, says of each whether it is
// right and what to do if it is not, and fails if anything is not.
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
	findings = append(findings, checkStore(ctx, settings.Store.Path), checkBackups(settings))
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

// checkSettings says where the settings come from; that they are valid was found
// when they were read.
func (call *invocation) checkSettings(settings config.Config) []discord.Finding {
	from := "no file"
	if path := call.settingsPath(); path != "" {
		from = path
	}
	findings := []discord.Finding{right("Settings: read from %s and the environment; bot config lists them.", from)}
	for _, path := range call.openFiles(settings) {
		findings = append(findings, wrong("Settings: others can read %s, and the token may be in it; chmod 600 %s.", path, path))
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
	l.Close() // it was only tried
	return right("Inside: %s is free.", address)
}

// checkStore looks at the store's file without changing it.
func checkStore(ctx context.Context, path string) discord.Finding {
	if path == "" {
		return right("Store: none is set; the invented demo community stands in. For a log of your own set %s.", config.Settings()[0].Environment())
	}
	_, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		if err := writable(filepath.Dir(path)); err != nil {
			return wrong("Store: there is none at %s and none can be made there (%v); make the folder, and let the bot write to it.", path, err)
		}
		return right("Store: there is none at %s yet; the first start makes it.", path)
	}
	found, err := knowledge.Inspect(ctx, path)
	if err != nil {
		return wrong("Store: %v. %s", err, wayOut(err))
	}
	if err := writable(filepath.Dir(path)); err != nil {
		return wrong("Store: its folder cannot be written to (%v); let the bot write to it.", err)
	}
	return right("Store: whole, at version %d: %s", found.Version, inspectionWords(found))
}

// wayOut is what to do about a store that cannot be used.
func wayOut(err error) string {
	switch {
	case errors.Is(err, knowledge.ErrNewerStore):
		return "Start the newer program, or bot restore a backup from before."
	case errors.Is(err, knowledge.ErrNotAStore):
		return "If it was the store, end the bot and bot restore the latest backup; if it never was, set store.path to the store. The file was left as it is."
	case errors.Is(err, knowledge.ErrDamaged):
		return "End the bot and bot restore the latest backup; the damaged file is kept beside."
	case errors.Is(err, knowledge.ErrReadOnly):
		return "Let the bot's user read and write it."
	}
	return "Look at the disk that it is on."
}

// checkBackups says when the latest one of the folder was made.
func checkBackups(settings config.Config) discord.Finding {
	if settings.Backup.Folder == "" || settings.Store.Address() == "" {
		return right("Backups: none are made at night; set backup.folder if they are to be.")
	}
	if err := writable(settings.Backup.Folder); err != nil {
		return wrong("Backups: the folder cannot be written to (%v); make it, and let the bot write to it.", err)
	}
	return right("Backups: each night to %s, the latest %d are kept.", settings.Backup.Folder, settings.Backup.Keep)
}

// writable reports why no file can be made in a folder; nil if one can.
func writable(folder string) error {
	file, err := os.CreateTemp(folder, ".holdbench-check-*")
	if err != nil {
		return err
	}
	return errors.Join(file.Close(), os.Remove(file.Name()))
}

// checkDiscord asks Discord. No store is opened for it: that would change an older
// one.
func checkDiscord(ctx context.Context, settings config.Config, log *slog.Logger) []discord.Finding {
	if settings.Discord.Token == "" {
		return []discord.Finding{wrong("Token: none is set, so the program opens the local room and not Discord. " +
			"Set HOLDBENCH_DISCORD_TOKEN, or discord.token_file to a file with it, to the bot token of the application's Bot page.")}
	}
	if err := discord.Aim(settings.Discord.APIBase); err != nil {
		return []discord.Finding{wrong("Discord: %v.", err)}
	}
	bot, err := discord.New(discord.Settings{Token: settings.Discord.Token.Reveal()}, &commands.Communities{Log: log}, log)
	if err != nil {
		return []discord.Finding{wrong("Discord: %v.", err)}
	}
	return bot.Check(ctx)
}
