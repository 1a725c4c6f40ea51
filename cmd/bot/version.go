package main

import (
	"context"
	"fmt"
	"runtime/debug"
)

func versionSubcommand() subcommand {
	return subcommand{name: "version", summary: "which build this is", run: runVersion}
}

func runVersion(_ context.Context, call *invocation) error {
	version, revision := "unknown", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		version = info.Main.Version
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				revision = " " + s.Value
			}
		}
	}
	_, err := fmt.Fprintf(call.stdout, "holdbench %s%s\n", version, revision)
	return err
}
