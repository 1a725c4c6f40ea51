package main

import (
	"context"
	"log/slog"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/discord"
	"holdbench/internal/inside"
)

// openInside opens the address of /healthz and /metrics, if the settings name one.
func (s *servers) openInside(log *slog.Logger) error {
	address := s.settings.Inside.Listen
	if address == "" {
		return nil
	}
	var err error
	if s.listener, err = inside.Listen(address); err != nil {
		return err
	}
	s.closers = append(s.closers, func() error {
		s.listener.Close() // an error: Serve has closed it already
		return nil
	})
	s.status = inside.New(s.sources(log))
	log.Info("serving /healthz and /metrics", "address", s.listener.Addr().String())
	return nil
}

// sources are what /healthz and /metrics ask. s.bot is set by the time anybody asks.
func (s *servers) sources(log *slog.Logger) inside.Sources {
	sources := inside.Sources{
		Version: buildWords(), Now: time.Now,
		LastPrompt: s.store.LastPrompt,
		Store: func(ctx context.Context) error {
			err := s.store.Reach(ctx)
			if err != nil {
				log.ErrorContext(ctx, "the store does not answer", "error", err)
			}
			return err
		},
		Shards: func() (shards []inside.Shard) {
			for _, shard := range s.bot.Shards() {
				shards = append(shards, inside.Shard(shard))
			}
			return shards
		},
		Lanes: func() (lanes []inside.Lane) {
			for _, lane := range s.bot.Queues() {
				lanes = append(lanes, inside.Lane(lane))
			}
			return lanes
		},
	}
	sources.Warnings = func(ctx context.Context) (warnings []string) {
		ahead, err := s.store.TimesAhead(ctx)
		if err != nil {
			return nil // the Store source reports that the store does not answer
		}
		for _, noted := range ahead {
			warnings = append(warnings, "clock: "+noted.String())
		}
		return warnings
	}
	if s.settings.Backup.Folder != "" {
		sources.LastBackup = s.store.LastBackup
	}
	for _, cmd := range commands.All() {
		sources.Commands = append(sources.Commands, cmd.Name)
	}
	for _, o := range discord.Outcomes() {
		sources.Outcomes = append(sources.Outcomes, string(o))
	}
	return sources
}

// observe counts answers for /metrics; nil where the settings name no address for it.
func (s *servers) observe() func(discord.Observed) {
	if s.status == nil {
		return nil
	}
	return func(o discord.Observed) { s.status.Answer(o.Command, string(o.Outcome), o.Took) }
}
