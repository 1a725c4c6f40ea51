package main

import (
	"context"
	"io"
)

func configSubcommand() subcommand {
	return subcommand{name: "config", summary: "the settings in force and where each comes from; secrets as ***",
		run: runConfig}
}

func runConfig(_ context.Context, call *invocation) error {
	if len(call.args) > 0 {
		return misused("config takes nothing")
	}
	settings, err := call.settings()
	if err != nil {
		return err
	}
	_, err = io.WriteString(call.stdout, settings.String())
	return err
}
