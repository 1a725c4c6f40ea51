package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"holdbench/config"
	"holdbench/internal/discord"
	"holdbench/internal/jobs"
	"holdbench/internal/knowledge"
)

// checkStore inspects the store that the settings name, without changing it. The Inspection is empty where the store
// cannot be used.
func checkStore(ctx context.Context, settings config.Config) (discord.Finding, knowledge.Inspection) {
	store := settings.Store
	if err := notLost(settings); err != nil {
		return wrong("Store: %v.", err), knowledge.Inspection{}
	}
	switch {
	case store.URL != "":
		return checkDatabase(ctx, store)
	case store.Path != "":
		return checkFile(ctx, store.Path)
	}
	return right("Store: none is set; the invented demo community stands in. For a log of your own set %s.",
		config.Settings()[0].Environment()), knowledge.Inspection{}
}

func checkFile(ctx context.Context, path string) (discord.Finding, knowledge.Inspection) {
	none := knowledge.Inspection{}
	_, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		if err := writable(filepath.Dir(path)); err != nil {
			return wrong("Store: there is none at %s and none can be made there (%v); make the folder, and let the "+
				"bot write to it.", path, err), none
		}
		return right("Store: there is none at %s yet; the first start makes it.", path), none
	}
	found, err := knowledge.Inspect(ctx, path)
	if err != nil {
		return wrong("Store: %v. %s", err, wayOut(err)), none
	}
	if err := writable(filepath.Dir(path)); err != nil {
		return wrong("Store: its folder cannot be written to (%v); let the bot write to it.", err), none
	}
	return right("Store: whole, %s: %s", versionWords(found), inspectionWords(found)), found
}

// checkReaders reports the store and its latest backup if anybody but the owner can read them: they hold names, and who
// tested what.
func checkReaders(settings config.Config) (open []discord.Finding) {
	files := map[string]string{"Store": settings.Store.Path}
	if folder := settings.Backup.Folder; folder != "" && settings.Backup.Recipient == "" {
		if made, err := jobs.Backups(folder); err == nil && len(made) > 0 {
			files["Backups"] = filepath.Join(folder, made[len(made)-1])
		}
	}
	for _, what := range slices.Sorted(maps.Keys(files)) {
		path := files[what]
		if info, err := os.Stat(path); path != "" && err == nil && readableByOthers(info) {
			open = append(open, wrong("%s: others can read %s, and it has names in it; chmod 600 %s.",
				what, path, path))
		}
	}
	return open
}

// readableByOthers reports whether anybody but the owner has any right to a file.
func readableByOthers(info fs.FileInfo) bool { return info.Mode().Perm()&0o077 != 0 }

// wayOut says what to do about a store file that cannot be used.
func wayOut(err error) string {
	switch {
	case errors.Is(err, knowledge.ErrNewerStore):
		return "Start the newer program, or bot restore a backup from before."
	case errors.Is(err, knowledge.ErrNotAStore):
		return "If it was the store, end the bot and bot restore the latest backup; if it never was, set store.path " +
			"to the store. The file was left as it is."
	case errors.Is(err, knowledge.ErrDamaged):
		return "End the bot and bot restore the latest backup; the damaged file is kept beside."
	case errors.Is(err, knowledge.ErrReadOnly):
		return "Let the bot's user read and write it."
	}
	return "Look at the disk that it is on."
}

// checkDatabase inspects a PostgreSQL database. The URL is printed without the password.
func checkDatabase(ctx context.Context, store config.Store) (discord.Finding, knowledge.Inspection) {
	found, err := knowledge.InspectDatabase(ctx, store.Address())
	switch {
	case err != nil:
		// pgx lists each address it tried on a line of its own.
		return wrong("Store: %s. %s", strings.Join(strings.Fields(err.Error()), " "), wayOutOfDatabase(err)),
			knowledge.Inspection{}
	case found.Version == 0:
		return right("Store: %s at %s lets the bot in; there is nothing in the database yet, and the first start "+
			"makes the store.", found.Engine, store.URL), found
	}
	return right("Store: %s at %s, %s: %s", found.Engine, store.URL, versionWords(found), inspectionWords(found)), found
}

// wayOutOfDatabase says what to do about a database that cannot be used.
func wayOutOfDatabase(err error) string {
	switch {
	case errors.Is(err, knowledge.ErrNotLetIn):
		return "Put the user and the password in store.url right; if they are, the server's pg_hba.conf has to let " +
			"this machine in."
	case errors.Is(err, knowledge.ErrNoDatabase):
		return "Make the database, or name another in store.url."
	case errors.Is(err, knowledge.ErrUnreachable):
		return "See that the server runs and can be reached from here, and that host, port and sslmode in store.url " +
			"are right."
	case errors.Is(err, knowledge.ErrNewerStore):
		return "Start the newer program, or copy a backup from before into an empty database with bot migrate-store " +
			"and name that in store.url."
	case errors.Is(err, knowledge.ErrNotAStore):
		return "Name an empty database in store.url, or one with the store in it. This one was left as it is."
	case errors.Is(err, knowledge.ErrReadOnly):
		return "Name the server that takes writes, and make the user in store.url the owner of the database."
	}
	return "The server's log may say more."
}

// versionWords gives a store's version, and what the next start does to an older one.
func versionWords(found knowledge.Inspection) string {
	if found.Version < found.Newest {
		return fmt.Sprintf("at version %d, which the next start brings to %d; back it up first with the program that "+
			"ran until now, which cannot use it afterwards", found.Version, found.Newest)
	}
	return fmt.Sprintf("at version %d", found.Version)
}

// checkBackups says where nightly backups go and when any program on this store made the latest.
func checkBackups(settings config.Config, found knowledge.Inspection) discord.Finding {
	if settings.Backup.Folder == "" || settings.Store.Address() == "" {
		return right("Backups: none are made at night%s; set backup.folder if they are to be.",
			lastBackupWords(found, " by this program"))
	}
	if err := writable(settings.Backup.Folder); err != nil {
		return wrong("Backups: the folder cannot be written to (%v); make it, and let the bot write to it.", err)
	}
	encrypted := ""
	if settings.Backup.Recipient != "" {
		encrypted = ", encrypted"
	}
	return right("Backups: each night to %s%s, the latest %d are kept%s.",
		settings.Backup.Folder, encrypted, settings.Backup.Keep, lastBackupWords(found, ""))
}

// lastBackupWords says when the latest nightly backup was made, after the text before; "" if none was.
func lastBackupWords(found knowledge.Inspection, before string) string {
	if found.LastBackup.IsZero() {
		return ""
	}
	return before + "; the latest of this store was made on " + found.LastBackup.Format(time.DateOnly)
}
