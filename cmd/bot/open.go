package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"time"

	"holdbench/config"
	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// The refs of the two communities that belong to no platform.
const (
	localRef = "local"
	demoRef  = "demo"
)

// opened is an open store, and what has to be closed with it.
type opened struct {
	store *knowledge.Store
	demo  bool // the settings name no store: it is an empty one, which is removed when it is closed

	closers []func() error
}

// openStore opens the store of the settings, or without one an empty store for the demo.
func openStore(ctx context.Context, settings config.Config, options ...knowledge.Option) (o opened, err error) {
	if o.demo = settings.Store.Address() == ""; o.demo {
		var folder string
		if folder, err = os.MkdirTemp("", "holdbench-demo-"); err != nil {
			return o, err
		}
		o.closers = append(o.closers, func() error { return os.RemoveAll(folder) })
		o.store, err = knowledge.Open(ctx, filepath.Join(folder, "demo.db"), options...)
	} else {
		o.store, err = openOwn(ctx, settings, options...)
	}
	if err != nil {
		return o, errors.Join(err, o.Close())
	}
	o.closers = append(o.closers, o.store.Close)
	return o, nil
}

// Close closes everything that was opened, last first.
func (o *opened) Close() error {
	var faults []error
	for _, closer := range slices.Backward(o.closers) {
		faults = append(faults, closer())
	}
	return errors.Join(faults...)
}

// community is an open store, one community in it, and the person at the keyboard.
type community struct {
	opened
	group *knowledge.Group
	env   *commands.Env
	asker commands.Asker
}

// withCommunity opens the local room's community, calls do and closes it.
func (call *invocation) withCommunity(ctx context.Context, do func(c *community) error) (err error) {
	settings, err := call.settings()
	if err != nil {
		return err
	}
	c, err := open(ctx, settings, call.logger(settings.Log))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	return do(c)
}

// open opens the store of the settings, founding the community on first use;
// without a store it opens the demo.
func open(ctx context.Context, settings config.Config, log *slog.Logger) (*community, error) {
	store, err := openStore(ctx, settings, knowledge.WithPatience(terminalPatience))
	if err != nil {
		return nil, err
	}
	c := &community{opened: store}
	choose := c.chooseLocal
	if c.demo {
		choose = c.chooseDemo
	}
	if err := choose(ctx, settings, log); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	c.env = &commands.Env{Group: c.group, Now: time.Now, Log: log, Conversations: new(commands.Conversations)}
	return c, nil
}

// terminalPatience is how long somebody at a terminal waits for an estimate that counts the latest tests. It may be
// long: nobody else waits meanwhile.
const terminalPatience = 10 * time.Second

// chooseLocal chooses the community of the group's own store. The person at the keyboard is its trainer.
func (c *community) chooseLocal(ctx context.Context, settings config.Config, log *slog.Logger) (err error) {
	if c.group, err = localGroup(ctx, c.store, settings); err != nil {
		return err
	}
	me, err := c.group.Member(ctx, localRef)
	if errors.Is(err, knowledge.ErrNotFound) {
		me, err = c.group.Admit(ctx, knowledge.Member{Ref: localRef, Name: localRef, Role: knowledge.TrainerRole})
	}
	if err != nil {
		return err
	}
	c.asker = askerFor(me)
	return warnWhereStoreDiffers(ctx, c.group, settings, log)
}

// localGroup returns the local room's community: the one it founded, or the store's only one, since a server may have
// taken that over. In an empty store it founds one.
func localGroup(ctx context.Context, store *knowledge.Store, settings config.Config) (*knowledge.Group, error) {
	group, err := store.Group(ctx, localRef)
	if !errors.Is(err, knowledge.ErrNotFound) {
		return group, err
	}
	groups, err := store.Groups(ctx)
	if err != nil {
		return nil, err
	}
	switch len(groups) {
	case 0:
		return found(ctx, store, localRef, settings.Community.Name, settings)
	case 1:
		return groups[0], nil
	}
	if home := settings.Discord.Home; home != "" {
		return store.Group(ctx, home)
	}
	return nil, fmt.Errorf("the store has the logs of %d servers: set discord.home to the one that is meant",
		len(groups))
}

// found founds a community with the values of the settings.
func found(ctx context.Context, store *knowledge.Store, ref, name string, settings config.Config) (*knowledge.Group,
	error) {
	group, err := store.Found(ctx, knowledge.NewCommunity{
		Ref: ref, Name: name, Zone: settings.Community.Zone, Ceiling: calc.Seconds(settings.Hold.CeilingS),
	})
	if err != nil {
		return nil, err
	}
	return group, group.UpdateSettings(ctx, func(to *knowledge.Settings) error {
		to.Target = settings.Hold.TargetShare
		return nil
	})
}

// warnWhereStoreDiffers warns where the settings name a value that only founding reads and the store has another.
func warnWhereStoreDiffers(ctx context.Context, group *knowledge.Group, settings config.Config,
	log *slog.Logger) error {
	kept, err := group.Settings(ctx)
	if err != nil {
		return err
	}
	if settings.IsSet("hold.ceiling_s") && float64(kept.Ceiling) != settings.Hold.CeilingS {
		log.WarnContext(ctx, "hold.ceiling_s is not taken: the store keeps its own", "ceiling_s", float64(kept.Ceiling))
	}
	if settings.IsSet("hold.target_share") && kept.Target != settings.Hold.TargetShare {
		log.WarnContext(ctx, "hold.target_share is not taken: the store keeps its own", "target_share", kept.Target)
	}
	return nil
}

// chooseDemo founds the demo community. The person at the keyboard is its trainer.
func (c *community) chooseDemo(ctx context.Context, settings config.Config, _ *slog.Logger) (err error) {
	if c.group, err = foundDemo(ctx, c.store, demoRef, config.DemoName, settings); err != nil {
		return err
	}
	members, err := c.group.Members(ctx)
	for _, m := range members {
		if m.Role == knowledge.TrainerRole {
			c.asker = askerFor(m)
		}
	}
	return err
}

// foundDemo founds a community that has the demo's data.
func foundDemo(ctx context.Context, store *knowledge.Store, ref, name string, settings config.Config) (
	*knowledge.Group, error) {
	group, err := found(ctx, store, ref, name, settings)
	if err != nil {
		return nil, err
	}
	for _, kind := range knowledge.ImportKinds() {
		if err := importDemo(ctx, group, kind); err != nil {
			return nil, fmt.Errorf("demo %s: %w", kind, err)
		}
	}
	return group, nil
}

func importDemo(ctx context.Context, group *knowledge.Group, kind knowledge.FileKind) (err error) {
	file, err := config.Demo().Open(string(kind) + ".csv")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	report, err := group.Import(ctx, kind, knowledge.RowsOf(file), knowledge.Importing{Unestimated: true})
	if err != nil {
		return err
	}
	if len(report.Faults) > 0 {
		return fmt.Errorf("line %d: %s", report.Faults[0].Line, report.Faults[0].Problem)
	}
	return nil
}

func askerFor(m knowledge.Member) commands.Asker {
	return commands.Asker{Ref: m.Ref, Name: m.Name, Role: m.Role}
}
