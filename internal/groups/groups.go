// Package groups gives each community of a platform what its commands work with, and
// holds what is asked to a measure. It knows no surface.
package groups

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"holdbench/internal/cache"
	"holdbench/internal/commands"
	"holdbench/internal/knowledge"
)

// All gives each community of a platform its Env, and founds it on first sight.
type All struct {
	Store *knowledge.Store
	Now   func() time.Time
	Log   *slog.Logger

	// Found makes the community that a server has not got yet.
	Found func(ctx context.Context, ref, name string) (*knowledge.Group, error)

	// Lacking is what commands.Env.Lacking is, of a community; nil for nothing to ask.
	Lacking func(ctx context.Context, ref, channel string) ([]string, error)

	talk commands.Conversations
	mu   sync.Mutex
	envs *cache.Cache[string, *commands.Env] // by ref; whoever uses one that is dropped goes on with it
}

// mostEnvs bounds how many Envs are kept. Each holds an index of its community's
// words and what was worked out last, a megabyte or so for a hundred gels, and is
// made again within milliseconds.
const mostEnvs = 24

// Env returns the Env of the community with that ref; first says that it has
// just been founded. name is what its members call it.
func (c *All) Env(ctx context.Context, ref, name string) (env *commands.Env, first bool, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if kept, there := c.kept().Get(ref); there {
		return kept, false, nil
	}
	group, err := c.Store.Group(ctx, ref)
	if errors.Is(err, knowledge.ErrNotFound) {
		first = true
		group, err = c.Found(ctx, ref, name)
	}
	if err != nil {
		return nil, false, err
	}
	if err := group.Return(ctx); err != nil {
		return nil, false, err
	}
	return c.env(group), first, nil
}

// Visit returns the Env of a community whose server another process looks after:
// nothing is founded, and one that was left is not taken for there again.
//
// Errors: knowledge.ErrNotFound.
func (c *All) Visit(ctx context.Context, ref string) (*commands.Env, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	group, err := c.Store.Group(ctx, ref)
	if err != nil {
		return nil, err
	}
	left, err := group.Left(ctx)
	if err != nil {
		return nil, err
	}
	if !left.IsZero() {
		return nil, fmt.Errorf("community %s, which was left: %w", ref, knowledge.ErrNotFound)
	}
	if kept, there := c.kept().Get(ref); there {
		return kept, nil
	}
	return c.env(group), nil
}

// env makes the Env of a community, and keeps it.
func (c *All) env(group *knowledge.Group) *commands.Env {
	env := &commands.Env{Group: group, Now: c.Now, Log: c.Log.With("community", group.Ref()), Conversations: &c.talk}
	if c.Lacking != nil {
		env.Lacking = func(ctx context.Context, channel string) ([]string, error) {
			return c.Lacking(ctx, group.Ref(), channel)
		}
	}
	c.kept().Put(group.Ref(), env)
	return env
}

// WithoutGroup is an Env without a community, for words that have nothing to do with
// any. It shares what is remembered: an emergency is heard without a store, too.
func (c *All) WithoutGroup(log *slog.Logger) *commands.Env {
	return &commands.Env{Now: c.Now, Log: log, Conversations: &c.talk}
}

// kept is the Envs used last; c.mu is held.
func (c *All) kept() *cache.Cache[string, *commands.Env] {
	if c.envs == nil {
		c.envs = cache.Counted[string, *commands.Env](mostEnvs, 0, nil)
	}
	return c.envs
}

// Leave notes that the server of a community was left. One that is not known is
// none of its concern.
func (c *All) Leave(ctx context.Context, ref string) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.kept().Take(ref)
	group, err := c.Store.Group(ctx, ref)
	if errors.Is(err, knowledge.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	return group.Leave(ctx)
}

// Refs are the communities there are.
func (c *All) Refs(ctx context.Context) ([]string, error) {
	groups, err := c.Store.Groups(ctx)
	refs := make([]string, len(groups))
	for i, g := range groups {
		refs[i] = g.Ref()
	}
	return refs, err
}

// Erase erases the communities whose server was left longer ago than their days
// of keeping, and returns how many.
func (c *All) Erase(ctx context.Context) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	refs, err := c.Store.EraseDue(ctx)
	for _, ref := range refs {
		c.kept().Take(ref)
		c.Log.InfoContext(ctx, "erased after leaving", "community", ref)
	}
	return len(refs), err
}

// Of are the communities in which somebody is on the list, and the one among them that
// they have chosen to answer in direct messages, "" for none.
func (c *All) Of(ctx context.Context, ref string) (refs []string, chosen string, err error) {
	return c.Store.CommunitiesOf(ctx, ref)
}

// AnswerDirect notes that somebody has chosen a community to answer in direct messages.
// Of whoever is on no list of its nothing is kept.
func (c *All) AnswerDirect(ctx context.Context, member, ref string) error {
	err := c.Store.AnswerDirect(ctx, member, ref)
	if errors.Is(err, knowledge.ErrNotFound) {
		return nil
	}
	return err
}

// OpenWelcomes are the communities whose welcome has not been delivered.
func (c *All) OpenWelcomes(ctx context.Context) ([]string, error) {
	return c.Store.OpenNotices(ctx, knowledge.Welcome)
}
