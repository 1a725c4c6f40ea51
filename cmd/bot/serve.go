package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"sync"
	"time"

	"holdbench/config"
	"holdbench/internal/discord"
	"holdbench/internal/discord/api"
	"holdbench/internal/groups"
	"holdbench/internal/inside"
	"holdbench/internal/knowledge"
)

// runServe answers in the group's Discord servers until ctx ends.
func runServe(ctx context.Context, call *invocation, settings config.Config) (err error) {
	log := call.logger(settings.Log)
	call.tellStart(ctx, log, settings)
	s, err := openServers(ctx, settings, log)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	words := "Holdbench joins Discord; Ctrl-C ends it."
	if s.demo {
		words += "\nEvery server gets the demo community: all of its data is invented, and nothing is kept.\n" +
			"For a log of your own set " + config.Settings()[0].Environment() + " to a file."
	}
	if _, err := fmt.Fprintln(call.stdout, words); err != nil {
		return err
	}
	nights, err := nightly(settings)
	if err != nil {
		return err
	}
	beside := []func(context.Context) error{
		func(ctx context.Context) error { return s.sayUnasked(ctx, log) },
		func(ctx context.Context) error { newLearner(s.store, log).run(ctx); return nil },
	}
	if nights != nil {
		beside = append(beside, func(ctx context.Context) error {
			backUpNightly(ctx, s.store, nights, log)
			return nil
		})
	}
	if s.sight != nil {
		beside = append(beside, func(ctx context.Context) error { return s.sight.Serve(ctx, s.window) })
	}
	return together(ctx, s.bot.Run, beside)
}

// together runs main and what goes on beside it, until main ends; then all of it
// is ended and waited for. What fails beside main does not end it.
func together(ctx context.Context, main func(context.Context) error, beside []func(context.Context) error) error {
	ctx, stop := context.WithCancel(ctx)
	faults := make([]error, len(beside))
	var all sync.WaitGroup
	for i, do := range beside {
		all.Go(func() { faults[i] = do(ctx) })
	}
	err := main(ctx)
	stop()
	all.Wait()
	return errors.Join(append(faults, err)...)
}

// servers is an open store with a community for each server, and the bot that
// speaks for them.
type servers struct {
	bot   *discord.Bot
	store *knowledge.Store
	demo  bool

	sight  *inside.Sight // nil where nobody looks
	window net.Listener  // where it is looked at

	settings config.Config
	closers  []func() error
}

// Close ends what was opened, last first.
func (s *servers) Close() error {
	var faults []error
	for i := len(s.closers) - 1; i >= 0; i-- {
		faults = append(faults, s.closers[i]())
	}
	return errors.Join(faults...)
}

// openServers opens the store of the settings, or without one a store of the
// demo's own, and makes the bot.
func openServers(ctx context.Context, settings config.Config, log *slog.Logger) (*servers, error) {
	s := &servers{settings: settings, demo: settings.Store.Address() == ""}
	if err := s.open(ctx, log); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

func (s *servers) open(ctx context.Context, log *slog.Logger) error {
	if err := api.Aim(s.settings.Discord.APIBase); err != nil {
		return err
	}
	var err error
	if s.demo {
		var folder string
		if folder, err = os.MkdirTemp("", "holdbench-demo-"); err != nil {
			return err
		}
		s.closers = append(s.closers, func() error { return os.RemoveAll(folder) })
		s.store, err = knowledge.Open(ctx, filepath.Join(folder, "demo.db"))
	} else {
		s.store, err = openOwn(ctx, s.settings)
	}
	if err != nil {
		return err
	}
	s.closers = append(s.closers, s.store.Close)
	if err := s.reserve(); err != nil {
		return err
	}
	if err := s.openWindow(log); err != nil {
		return err
	}
	communities := &groups.All{Store: s.store, Now: time.Now, Log: log, Found: s.found}
	s.bot, err = discord.New(discord.Settings{
		Token: s.settings.Discord.Token.Reveal(), Shards: s.settings.Discord.Shards,
		ShardIDs:    s.settings.Discord.ShardIDs,
		TrainerRole: s.settings.Discord.TrainerRole, Observe: s.observe(), Introduce: s.introduce(log),
		FileHost: api.Files(s.settings.Discord.APIBase),
	}, communities, log)
	return err
}

// reserve sees to it that no other program answers for the same bot from the same
// file: each question would be answered twice, and each test be logged twice.
//
// Errors: knowledge.ErrReserved.
func (s *servers) reserve() error {
	release, err := s.store.Reserve("token " + s.settings.Discord.Token.Reveal())
	if errors.Is(err, knowledge.ErrReserved) {
		return fmt.Errorf("the bot of this token runs on this store already: end the other first (%w)", err)
	}
	if err == nil {
		s.closers = append(s.closers, release)
	}
	return err
}

// found makes the community of a server on first sight: the one that the local
// room has begun, if it is this server's; the demo, where there is no store; else
// a new one.
func (s *servers) found(ctx context.Context, ref, name string) (*knowledge.Group, error) {
	if s.demo {
		group, err := found(ctx, s.store, ref, name+" (demo)", s.settings)
		if err != nil {
			return nil, err
		}
		return group, importDemoAll(ctx, group)
	}
	if s.isHome(ref) {
		err := s.store.Adopt(ctx, localRef, ref)
		if err == nil {
			return s.store.Group(ctx, ref)
		}
		if !errors.Is(err, knowledge.ErrNotFound) {
			return nil, err
		}
	}
	return found(ctx, s.store, ref, name, s.settings)
}

// isHome reports whether a server is the one that the local room's log belongs
// to: the one that the settings name, or the only one there is.
func (s *servers) isHome(ref string) bool {
	if home := s.settings.Discord.Home; home != "" {
		return home == ref
	}
	return s.bot.Alone(ref)
}
