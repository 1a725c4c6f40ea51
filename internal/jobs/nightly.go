package jobs

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Nightly says where the backup of the whole store goes each night.
type Nightly struct {
	Folder string         // must be there
	Keep   int            // so many, the latest; at least 1
	Hour   int            // from which on it is due, 0 to 23
	Zone   *time.Location // whose hour and whose night
}

// A backup is called by its night; what else lies in the folder is let be.
const (
	backupForm = "holdbench-2006-01-02.db"
	partForm   = ".holdbench-*.part" // copies that were not finished
	partsAge   = 24 * time.Hour      // of one that nobody can be at work on any more
)

// night makes tonight's backup, if it is due and no other program makes it. A
// failure is logged; it is tried again an hour later.
func (r *Runner) night(ctx context.Context) {
	if r.Nightly == nil || ctx.Err() != nil {
		return
	}
	now := r.Now().In(r.Nightly.Zone)
	if now.Hour() < r.Nightly.Hour {
		return
	}
	night := now.Format(dayForm)
	mine, err := r.Store.ClaimBackup(ctx, night)
	if err == nil && mine {
		err = r.backUp(ctx, now)
	}
	if err != nil {
		r.Log.ErrorContext(ctx, "no backup was made tonight", "folder", r.Nightly.Folder, "night", night, "error", err)
	}
}

func (r *Runner) backUp(ctx context.Context, now time.Time) error {
	night, file := now.Format(dayForm), now.Format(backupForm)
	// One of this night can be there already: made before a kill, and not noted.
	made, err := r.Store.Backup(ctx, filepath.Join(r.Nightly.Folder, file), true)
	ending, stop := context.WithTimeout(context.WithoutCancel(ctx), completeWithin)
	defer stop()
	if err != nil {
		return errors.Join(err, r.Store.BackupFailed(ending, night))
	}
	if err := r.Store.BackupMade(ending, night, file, made.Bytes); err != nil {
		return err
	}
	r.Log.InfoContext(ctx, "backed up", "file", file, "bytes", made.Bytes, "tests", made.Tests)
	if err := r.Nightly.tidy(now); err != nil {
		return fmt.Errorf("it was, but older ones are in the way: %w", err)
	}
	return nil
}

// Backups are the names of the nightly backups in a folder, the oldest first.
func Backups(folder string) (names []string, err error) {
	entries, err := os.ReadDir(folder)
	for _, entry := range entries {
		if _, err := time.Parse(backupForm, entry.Name()); err == nil {
			names = append(names, entry.Name())
		}
	}
	slices.Sort(names) // by night
	return names, err
}

// tidy removes the oldest backups beyond those to keep, and what unfinished ones
// left behind.
func (n *Nightly) tidy(now time.Time) error {
	entries, err := os.ReadDir(n.Folder)
	if err != nil {
		return err
	}
	backups, err := Backups(n.Folder)
	faults := []error{err}
	for _, entry := range entries {
		name := entry.Name()
		if part, _ := filepath.Match(partForm, name); part {
			info, err := entry.Info()
			if err == nil && now.Sub(info.ModTime()) > partsAge {
				faults = append(faults, os.Remove(filepath.Join(n.Folder, name)))
			}
		}
	}
	for _, name := range backups[:max(0, len(backups)-n.Keep)] {
		faults = append(faults, os.Remove(filepath.Join(n.Folder, name)))
	}
	return errors.Join(faults...)
}
