package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
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
	if s.status != nil {
		beside = append(beside, func(ctx context.Context) error { return s.status.Serve(ctx, s.listener) })
	}
	return together(ctx, s.bot.Run, beside)
}

// together runs main with the others beside it. When main ends, it ends the others and waits for them. A failure of one
// beside main does not end main.
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

// servers is an open store with a community for each Discord server, and the bot.
type servers struct {
	opened
	bot      *discord.Bot
	settings config.Config

	status   *inside.Status // /healthz and /metrics; nil where the settings name no address for them
	listener net.Listener   // theirs
}

// openServers opens the store and makes the bot.
func openServers(ctx context.Context, settings config.Config, log *slog.Logger) (*servers, error) {
	if err := api.Aim(settings.Discord.APIBase); err != nil {
		return nil, err
	}
	store, err := openStore(ctx, settings)
	if err != nil {
		return nil, err
	}
	s := &servers{opened: store, settings: settings}
	if err := s.makeBot(log); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

func (s *servers) makeBot(log *slog.Logger) (err error) {
	if err := s.reserve(); err != nil {
		return err
	}
	if err := s.openInside(log); err != nil {
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

// reserve keeps a second program from serving the same bot from the same file: it would answer each question twice and
// log each test twice.
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

// found makes the community of a server that has none yet: the demo, where the settings name no store; the local room's
// community, if it belongs to this server; else a new one.
func (s *servers) found(ctx context.Context, ref, name string) (*knowledge.Group, error) {
	if s.demo {
		return foundDemo(ctx, s.store, ref, name+" (demo)", s.settings)
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

// isHome reports whether the local room's log belongs to a server: the settings name it, or it is the only one.
func (s *servers) isHome(ref string) bool {
	if home := s.settings.Discord.Home; home != "" {
		return home == ref
	}
	return s.bot.Alone(ref)
}
