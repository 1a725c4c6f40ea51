package jobs

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/sealed"
)

// Nightly says how the whole store is backed up each night.
type Nightly struct {
	Folder string         // must exist
	Keep   int            // how many of the latest are kept; at least 1
	Hour   int            // from which it is due, 0 to 23
	Zone   *time.Location // of the hour and the night
	Keys   sealed.Keys    // they are encrypted to these, if there are any
}

// A backup's name has a number, which rises from one to the next, and its night. By the night alone, a clock that was
// wrong once could make the latest the oldest. Those of older programs have no number. Other files in the folder are
// left alone.
const (
	backupForm = "holdbench-%06d-%s.db"
	partForm   = ".holdbench-*.part" // unfinished copies
	partsAge   = 24 * time.Hour      // older than this, no program still writes one
)

var backupName = regexp.MustCompile(`^holdbench-(?:(\d{6,9})-)?(\d{4}-\d{2}-\d{2})\.db(?:\.age)?$`)

// night makes tonight's backup if it is due and no other program makes it. A failure is logged, and tried again an hour
// later.
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
	night := now.Format(dayForm)
	file, err := r.Nightly.name(night)
	if err != nil {
		return errors.Join(err, r.Store.BackupFailed(ctx, night))
	}
	// One of this night may exist already, if the program was killed before it noted that it was made.
	to := knowledge.Target{Path: filepath.Join(r.Nightly.Folder, file), Replace: true}
	if !r.Nightly.Keys.None() {
		to.Seal = r.Nightly.Keys.Seal
	}
	made, err := r.Store.Backup(ctx, to)
	ending, stop := context.WithTimeout(context.WithoutCancel(ctx), completeWithin)
	defer stop()
	if err != nil {
		return errors.Join(err, r.Store.BackupFailed(ending, night))
	}
	if err := r.Store.BackupMade(ending, night, file, made.Bytes); err != nil {
		return err
	}
	r.Log.InfoContext(ctx, "backed up", "file", file, "bytes", made.Bytes, "tests", made.Tests)
	if err := errors.Join(r.Nightly.tidy(), r.Nightly.tidyParts(r.Store.Workplace(), now)); err != nil {
		return fmt.Errorf("it was made, but older ones could not be removed: %w", err)
	}
	return nil
}

// backupFile is a backup in the folder, by its name.
type backupFile struct {
	name, night string
	number      int // 0 for one of an older program
}

// backupFiles lists the nightly backups in a folder, oldest first.
func backupFiles(folder string) (files []backupFile, err error) {
	entries, err := os.ReadDir(folder)
	for _, entry := range entries {
		if parts := backupName.FindStringSubmatch(entry.Name()); parts != nil {
			number, _ := strconv.Atoi(parts[1]) // digits, or none
			files = append(files, backupFile{entry.Name(), parts[2], number})
		}
	}
	slices.SortFunc(files, func(a, b backupFile) int {
		return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.night, b.night))
	})
	return files, err
}

// Backups returns the names of the nightly backups in a folder, oldest first.
func Backups(folder string) (names []string, err error) {
	files, err := backupFiles(folder)
	for _, file := range files {
		names = append(names, file.name)
	}
	return names, err
}

// name is the file name of a night's backup, with the next number, or the latest's own if that is of this night.
func (n *Nightly) name(night string) (string, error) {
	files, err := backupFiles(n.Folder)
	number := 1
	if len(files) > 0 {
		latest := files[len(files)-1]
		number = latest.number
		if latest.night != night || number == 0 {
			number++
		}
	}
	name := fmt.Sprintf(backupForm, number, night)
	if !n.Keys.None() {
		name += ".age"
	}
	return name, err
}

// tidy removes the oldest backups beyond those to keep.
func (n *Nightly) tidy() error {
	backups, err := Backups(n.Folder)
	faults := []error{err}
	for _, name := range backups[:max(0, len(backups)-n.Keep)] {
		faults = append(faults, os.Remove(filepath.Join(n.Folder, name)))
	}
	return errors.Join(faults...)
}

// tidyParts removes what unfinished backups left in the backup folder and in the folder where they are prepared.
func (n *Nightly) tidyParts(workplace string, now time.Time) error {
	var faults []error
	for _, folder := range []string{n.Folder, workplace} {
		entries, err := os.ReadDir(folder)
		faults = append(faults, err)
		for _, entry := range entries {
			if part, _ := filepath.Match(partForm, entry.Name()); !part {
				continue
			}
			if info, err := entry.Info(); err == nil && now.Sub(info.ModTime()) > partsAge {
				faults = append(faults, os.Remove(filepath.Join(folder, entry.Name())))
			}
		}
	}
	return errors.Join(faults...)
}
