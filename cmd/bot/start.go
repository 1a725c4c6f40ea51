package main

import (
	"context"
)

// startSubcommand is what the program does without a subcommand's name.
func startSubcommand() subcommand {
	return subcommand{summary: "with a token in the settings, the group's Discord servers; else the local room",
		run: runStart}
}

func runStart(ctx context.Context, call *invocation) error {
	settings, err := call.settings()
	if err != nil {
		return err
	}
	if settings.Discord.Token == "" {
		return runRoom(ctx, call)
	}
	return runServe(ctx, call, settings)
}
