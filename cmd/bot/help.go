package main

import (
	"context"
	"fmt"
	"io"
	"strings"
)

func helpSubcommand() subcommand {
	return subcommand{name: "help", summary: "this page", run: runHelp}
}

func runHelp(_ context.Context, call *invocation) error {
	_, err := io.WriteString(call.stdout, helpText())
	return err
}

func helpText() string {
	var b strings.Builder
	b.WriteString("Holdbench answers questions about holds from a group's own bench tests.\n\n")
	for _, s := range subcommands() {
		name := strings.TrimSpace(strings.Join([]string{"bot", s.name, s.usage}, " "))
		name = strings.Join(strings.Fields(name), " ")
		fmt.Fprintf(&b, "  %s\n      %s\n", name, s.summary)
	}
	b.WriteString("\n  --config FILE names a settings file; docs/settings.md lists the settings.\n")
	return b.String()
}
