package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"holdbench/internal/knowledge"
)

func restoreSubcommand() subcommand {
	return subcommand{
		name: "restore", usage: "FILE",
		summary: "check FILE and put it in place of the store, which is kept beside; the bot must not be running",
		run:     runRestore,
	}
}

func runRestore(ctx context.Context, call *invocation) error {
	if len(call.args) != 1 {
		return misused("restore takes the file of a backup")
	}
	settings, err := call.storeSettings()
	if err != nil {
		return err
	}
	if settings.Store.URL != "" {
		return fmt.Errorf("the store is in PostgreSQL: copy the backup into an empty database, with migrate-store --from %s --to URL", call.args[0])
	}
	restored, kept, err := knowledge.Restore(ctx, call.args[0], settings.Store.Path, time.Now())
	if errors.Is(err, knowledge.ErrBusy) {
		return fmt.Errorf("the store is in use: end the bot first. Nothing was changed (%w)", err)
	}
	if err != nil {
		return fmt.Errorf("nothing was changed: %w", err)
	}
	if kept == "" {
		kept = "there was none"
	}
	_, err = fmt.Fprintf(call.stdout, "Restored: %s\nThe store before: %s\n", inspectionWords(restored), kept)
	return err
}
