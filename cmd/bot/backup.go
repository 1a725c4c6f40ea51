package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"os"
	"time"

	"holdbench/config"
	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
)

func backupSubcommand() subcommand {
	return subcommand{
		name: "backup", usage: "FILE [--replace]",
		summary: "copy the store into FILE and check the copy, also while the bot runs; --replace overwrites FILE",
		flags:   func(f *flag.FlagSet) { f.Bool("replace", false, "overwrite a file that is there") },
		run:     runBackup,
	}
}

func runBackup(ctx context.Context, call *invocation) error {
	if len(call.args) != 1 {
		return misused("backup takes a file to be made")
	}
	settings, err := call.storeSettings()
	if err != nil {
		return err
	}
	to := knowledge.Target{Path: call.args[0], Replace: call.flagged("replace")}
	done := "Backed up and checked"
	if keys := settings.Backup.Keys(); !keys.None() {
		to.Seal, done = keys.Seal, "Backed up, checked and encrypted"
	}
	made, err := backUp(ctx, settings.Store, to)
	if errors.Is(err, knowledge.ErrDuplicate) {
		return fmt.Errorf("%s is there already; --replace overwrites it", call.args[0])
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(call.stdout, "%s: %s\n", done, inspectionWords(made))
	return err
}

// backUp backs up a store. A SQLite file is copied at the version it has, which may be older than the program. A
// database is opened first, which migrates it.
func backUp(ctx context.Context, from config.Store, to knowledge.Target) (made knowledge.Inspection, err error) {
	if from.URL == "" {
		return knowledge.Backup(ctx, from.Path, to)
	}
	store, err := knowledge.Open(ctx, from.Address())
	if err != nil {
		return knowledge.Inspection{}, err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	return store.Backup(ctx, to)
}

// storeSettings returns the settings, and an error if they name no store.
func (call *invocation) storeSettings() (config.Config, error) {
	settings, err := call.settings()
	if err == nil && settings.Store.Address() == "" {
		err = fmt.Errorf("there is no store: set %s to its file", config.Settings()[0].Environment())
	}
	return settings, err
}

// inspectionWords says what a store holds.
func inspectionWords(i knowledge.Inspection) string {
	words := counted(i.Communities, "community", "communities") + ", " + counted(i.Tests, "test", "tests")
	if !i.Latest.IsZero() {
		words += ", the latest logged on " + i.Latest.Format(time.DateOnly)
	}
	return words + "."
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// nightly returns the nightly backup that the settings ask for, or nil.
//
// Errors: errSettings.
func nightly(settings config.Config) (*jobs.Nightly, error) {
	b := settings.Backup
	if b.Folder == "" || settings.Store.Address() == "" {
		return nil, nil
	}
	if info, err := os.Stat(b.Folder); err != nil {
		return nil, fmt.Errorf("%w: backup.folder: %w", errSettings, err)
	} else if !info.IsDir() {
		return nil, fmt.Errorf("%w: backup.folder: %s is not a folder", errSettings, b.Folder)
	}
	zone, err := time.LoadLocation(settings.Community.Zone)
	if err != nil {
		return nil, err
	}
	return &jobs.Nightly{Folder: b.Folder, Keep: b.Keep, Hour: b.Hour, Zone: zone, Keys: b.Keys()}, nil
}

// backUpNightly makes the nightly backups until ctx ends.
func backUpNightly(ctx context.Context, store *knowledge.Store, n *jobs.Nightly, log *slog.Logger) {
	nobody := func(string) bool { return false } // nothing is said to any community here
	(&jobs.Runner{Store: store, Now: time.Now, Log: log, Serves: nobody, Nightly: n}).Run(ctx)
}
