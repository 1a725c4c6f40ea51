package main

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// release is the version that CHANGELOG.md describes first.
const release = "0.2.0"

func versionSubcommand() subcommand {
	return subcommand{name: "version", summary: "which version and build this is", run: runVersion}
}

func runVersion(_ context.Context, call *invocation) error {
	_, err := fmt.Fprintln(call.stdout, "holdbench", release, buildWords())
	return err
}

// buildWords names the revision that the program was built from, and the compiler: together they decide every byte of
// it.
func buildWords() string {
	revision, changed := "of an unknown revision", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				revision = s.Value
			case s.Key == "vcs.modified" && s.Value == "true":
				changed = " with changes"
			}
		}
	}
	return strings.Join([]string{revision + changed, runtime.Version(), runtime.GOOS + "/" + runtime.GOARCH}, " ")
}
