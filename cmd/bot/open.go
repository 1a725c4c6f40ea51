package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"holdbench/config"
	"holdbench/internal/calc"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// The platform names of the two communities that need no platform.
const (
	localRef = "local"
	demoRef  = "demo"
)

// community is an open store, the one community in it that is spoken for, and
// the person at the keyboard.
type community struct {
	store *knowledge.Store
	group *knowledge.Group
	env   *commands.Env
	asker commands.Asker
	demo  bool

	closers []func() error
}

// Close ends what was opened, last first, and reports everything that failed.
func (c *community) Close() error {
	var faults []error
	for i := len(c.closers) - 1; i >= 0; i-- {
		faults = append(faults, c.closers[i]())
	}
	return errors.Join(faults...)
}

// withCommunity opens the community that the settings name, does something with it
// and closes it.
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
	c := &community{demo: settings.Store.Address() == ""}
	fill := c.openLocal
	if c.demo {
		fill = c.openDemo
	}
	if err := fill(ctx, settings, log); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	c.env = &commands.Env{Group: c.group, Now: time.Now, Log: log, Conversations: new(commands.Conversations)}
	return c, nil
}

// uses keeps an open store, to be closed with the community.
func (c *community) uses(store *knowledge.Store) {
	c.store, c.closers = store, append(c.closers, store.Close)
}

// terminalPatience is how long somebody at a terminal waits for an estimate of the latest tests:
// nobody else is kept waiting meanwhile.
const terminalPatience = 10 * time.Second

// openLocal opens the one community of a store of one's own. The person at the
// keyboard is its trainer.
func (c *community) openLocal(ctx context.Context, settings config.Config, log *slog.Logger) error {
	store, err := openOwn(ctx, settings, knowledge.WithPatience(terminalPatience))
	if err != nil {
		return err
	}
	c.uses(store)
	if c.group, err = localGroup(ctx, store, settings); err != nil {
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

// localGroup is the community that the local room speaks for: its own, or the
// only one there is, for a server may have taken it over. In a store without any
// it is founded.
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

// found founds a community with what the settings say.
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

// warnWhereStoreDiffers tells whoever changed a founding setting later that the
// store keeps its own.
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

// openDemo makes the demo community afresh in a folder of its own, which goes
// when the program ends.
func (c *community) openDemo(ctx context.Context, settings config.Config, _ *slog.Logger) error {
	folder, err := os.MkdirTemp("", "holdbench-demo-")
	if err != nil {
		return err
	}
	c.closers = append(c.closers, func() error { return os.RemoveAll(folder) })
	store, err := knowledge.Open(ctx, filepath.Join(folder, "demo.db"), knowledge.WithPatience(terminalPatience))
	if err != nil {
		return err
	}
	c.uses(store)
	c.group, err = found(ctx, store, demoRef, config.DemoName, settings)
	if err != nil {
		return err
	}
	if err := importDemoAll(ctx, c.group); err != nil {
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

// importDemoAll takes the demo's files in.
func importDemoAll(ctx context.Context, group *knowledge.Group) error {
	for _, kind := range csvKinds() {
		if err := importDemo(ctx, group, kind); err != nil {
			return fmt.Errorf("demo %s: %w", kind.name, err)
		}
	}
	return nil
}

func importDemo(ctx context.Context, group *knowledge.Group, kind csvKind) (err error) {
	file, err := config.Demo().Open(kind.name + ".csv")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	read := kind.read
	if kind.name == "tests" {
		read = (*knowledge.Group).ImportTestsUnestimated
	}
	report, err := read(group, ctx, file, false)
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
