package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/sealed"
)

func restoreSubcommand() subcommand {
	return subcommand{
		name: "restore", usage: "FILE [--identity KEYFILE]",
		summary: "check FILE and put it in place of the store, which is kept beside; the bot must not be running; " +
			"KEYFILE decrypts an encrypted one",
		flags: func(f *flag.FlagSet) { f.String("identity", "", "file with the private key") },
		run:   runRestore,
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
		return fmt.Errorf("the store is in PostgreSQL: copy the backup into an empty database, "+
			"with migrate-store --from %s --to URL; decrypt it first if it is encrypted, with age", call.args[0])
	}
	from, done, err := decrypted(call.args[0], call.flag("identity"), filepath.Dir(settings.Store.Path))
	if err != nil {
		return fmt.Errorf("nothing was changed: %w", err)
	}
	defer done()
	restored, kept, err := knowledge.Restore(ctx, from, settings.Store.Path, time.Now())
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

// decrypted returns the path of a backup that can be read: path itself, or a decrypted copy of it in folder, which done
// removes.
func decrypted(path, identity, folder string) (plain string, done func(), err error) {
	encrypted, err := sealed.Is(path)
	switch {
	case err != nil:
		return "", nil, err
	case !encrypted:
		return path, func() {}, nil
	case identity == "":
		return "", nil, fmt.Errorf("%s is encrypted: name the file with the private key, --identity KEYFILE", path)
	}
	file, err := os.CreateTemp(folder, ".holdbench-*.part") // readable to its owner alone
	if err != nil {
		return "", nil, err
	}
	done = func() { os.Remove(file.Name()) }
	if err := errors.Join(sealed.Open(file, path, identity), file.Close()); err != nil {
		done()
		return "", nil, err
	}
	return file.Name(), done, nil
}
