package main

import (
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"holdbench/config"
)

// logger writes to standard error, at the level and in the format of the settings.
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

// tellStart logs the build and the settings, and warns where others can read the token.
func (call *invocation) tellStart(ctx context.Context, log *slog.Logger, settings config.Config) {
	log.InfoContext(ctx, "starting", "build", buildWords())
	log.InfoContext(ctx, "settings", settings.Attributes()...)
	for _, path := range call.openFiles(settings) {
		log.WarnContext(ctx, "others can read this file, and the token may be in it: chmod 600", "file", path)
	}
}

// openFiles lists the files that may hold the token and that others than their owner can read.
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

// isCredential reports whether systemd hands the file to this program alone (systemd.exec, LoadCredential). systemd may
// do so by an access control list, which makes the file look readable by its group.
func (call *invocation) isCredential(path string) bool {
	for _, line := range call.environ {
		if folder, is := strings.CutPrefix(line, "CREDENTIALS_DIRECTORY="); is && folder != "" {
			return filepath.Dir(filepath.Clean(path)) == filepath.Clean(folder)
		}
	}
	return false
}
