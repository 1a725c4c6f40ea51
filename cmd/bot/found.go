package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"holdbench/config"
	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
)

// errMissing: the store existed before and is gone. An empty one in its place would hide that, and its nightly backups
// would push out the good ones.
var errMissing = errors.New("the store is missing")

func foundSubcommand() subcommand {
	return subcommand{
		name: "found", summary: "make an empty store where there was one before; a first start makes its own",
		run: runFound,
	}
}

func runFound(ctx context.Context, call *invocation) error {
	if len(call.args) > 0 {
		return misused("found takes nothing")
	}
	settings, err := call.storeSettings()
	if err != nil {
		return err
	}
	path := settings.Store.Path
	if settings.Store.URL != "" {
		return errors.New("the store is in PostgreSQL: make an empty database there; the first start makes the store")
	}
	if there, err := isThere(path); there || err != nil {
		return errors.Join(fmt.Errorf("%s is there already", path), err)
	}
	store, err := knowledge.Open(ctx, path)
	if err != nil {
		return err
	}
	if err := errors.Join(store.Close(), markFounded(settings)); err != nil {
		return err
	}
	_, err = fmt.Fprintf(call.stdout, "Founded: an empty store at %s.\n", path)
	return err
}

// isThere reports whether anything is at a path. An empty file counts as nothing.
func isThere(path string) (bool, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && (info.IsDir() || info.Size() > 0), err
}

// openOwn opens the store that the settings name. A missing or empty file becomes a new store, unless there was one
// before.
//
// Errors: errMissing, and those of knowledge.Open.
func openOwn(ctx context.Context, settings config.Config, options ...knowledge.Option) (*knowledge.Store, error) {
	if err := notLost(settings); err != nil {
		return nil, err
	}
	store, err := knowledge.Open(ctx, settings.Store.Address(), options...)
	if err != nil {
		return nil, err
	}
	if err := markFounded(settings); err != nil {
		return nil, errors.Join(err, store.Close())
	}
	return store, nil
}

// notLost returns errMissing where the store's file is missing and a mark or a backup shows that there was one.
func notLost(settings config.Config) error {
	path := settings.Store.Path
	if there, err := isThere(path); there || err != nil || path == "" {
		return nil // opening it tells whether it is a store
	}
	signs := marks(settings)
	if folder := settings.Backup.Folder; folder != "" {
		backups, err := jobs.Backups(folder)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("backup.folder: %w", err)
		}
		for _, name := range backups {
			signs = append(signs, filepath.Join(folder, name))
		}
	}
	for _, sign := range signs {
		if _, err := os.Stat(sign); err == nil {
			return fmt.Errorf("%w: there is none at %s, and %s says that there was one. "+
				"Mount its disk, or bot restore the latest backup; if an empty one is meant, bot found", errMissing,
				path, sign)
		}
	}
	return nil
}

// marks are the files that record that a store was made: one beside it, and one in the backup folder, whose disk may
// still be there when the store's is not.
func marks(settings config.Config) []string {
	at := []string{settings.Store.Path + ".founded"}
	if folder := settings.Backup.Folder; folder != "" {
		at = append(at, filepath.Join(folder, "holdbench.founded"))
	}
	return at
}

// markFounded writes the marks of an existing store. A mark that cannot be written to the backup folder is no error
// here: the nightly backup reports what is wrong with that folder.
func markFounded(settings config.Config) error {
	if settings.Store.URL != "" {
		return nil
	}
	const words = "A store was made here. While this file is there, no empty one is made in its place unasked.\n"
	for i, mark := range marks(settings) {
		if _, err := os.Stat(mark); err == nil {
			continue
		}
		if err := os.WriteFile(mark, []byte(words), 0o600); err != nil && i == 0 {
			return err
		}
	}
	return nil
}
