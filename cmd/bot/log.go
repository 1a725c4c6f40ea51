package main

import (
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"holdbench/config"
)

// logger writes to standard error from the level and in the form that the
// settings ask for.
func (call *invocation) logger(settings config.Log) *slog.Logger {
	var l slog.Level
	if err := l.UnmarshalText([]byte(settings.Level)); err != nil {
		l = slog.LevelWarn // cannot happen: the settings were checked
	}
	options := &slog.HandlerOptions{Level: l}
	if settings.Format == "json" {
		return slog.New(slog.NewJSONHandler(call.stderr, options))
	}
	return slog.New(slog.NewTextHandler(call.stderr, options))
}

// tellStart tells the log which build starts with which settings, and warns where
// others could read the token.
func (call *invocation) tellStart(ctx context.Context, log *slog.Logger, settings config.Config) {
	log.InfoContext(ctx, "starting", "build", buildWords())
	log.InfoContext(ctx, "settings", settings.Attributes()...)
	for _, path := range call.openFiles(settings) {
		log.WarnContext(ctx, "others can read this file, and the token may be in it: chmod 600", "file", path)
	}
}

// openFiles are those files of the settings that may hold the token and that
// others than their owner can read.
func (call *invocation) openFiles(settings config.Config) []string {
	var open []string
	for _, path := range []string{call.settingsPath(), settings.Discord.TokenFile} {
		if path == "" || call.isCredential(path) {
			continue
		}
		if info, err := os.Stat(path); err == nil && readableByOthers(info) {
			open = append(open, path)
		}
	}
	return open
}

// isCredential reports whether a file is one that systemd hands to the program
// alone (systemd.exec, LoadCredential). It may do so by an access list, which looks
// as if the file's group could read it.
func (call *invocation) isCredential(path string) bool {
	for _, line := range call.environ {
		if folder, is := strings.CutPrefix(line, "CREDENTIALS_DIRECTORY="); is && folder != "" {
			return filepath.Dir(filepath.Clean(path)) == filepath.Clean(folder)
		}
	}
	return false
}
