package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"holdbench/internal/discord"
)

func checkSubcommand() subcommand {
	return subcommand{name: "check", summary: "whether the Discord token, intents, commands and permissions are right, in words", run: runCheck}
}

func runCheck(ctx context.Context, call *invocation) (err error) {
	if len(call.args) > 0 {
		return misused("check takes nothing")
	}
	settings, err := call.settings()
	if err != nil {
		return err
	}
	if settings.Discord.Token == "" {
		return errors.New("no token: set HOLDBENCH_DISCORD_TOKEN to the bot token of the application's Bot page")
	}
	s, err := openServers(ctx, settings, call.logger(settings.Log.Level))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	findings := s.bot.Check(ctx)
	if open := call.openFile(); open != "" {
		findings = append(findings, discord.Finding{Text: "Settings file: others can read " + open + "; if the token or a password is in it, chmod 600."})
	}
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

// openFile is the settings file, if others than its owner can read it.
func (call *invocation) openFile() string {
	path := call.settingsPath()
	if path == "" {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm()&0o077 == 0 {
		return ""
	}
	return path
}
