// Package groups opens the community of each server and limits how much members may ask. It knows no surface.
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

// All gives each community its Env, and founds the ones that are new.
type All struct {
	Store *knowledge.Store
	Now   func() time.Time
	Log   *slog.Logger

	// Found founds the community of a server that has none yet.
	Found func(ctx context.Context, ref, name string) (*knowledge.Group, error)

	// Lacking is commands.Env.Lacking for the community ref; nil where there is no platform to ask.
	Lacking func(ctx context.Context, ref, channel string) ([]string, error)

	talk commands.Conversations
	mu   sync.Mutex
	envs *cache.Cache[string, *commands.Env] // by ref; one that was dropped can still be used
}

// mostEnvs bounds how many Envs are kept. Each holds an index of its community's words and its latest estimates,
// about a megabyte for a hundred gels. It is made again within milliseconds.
const mostEnvs = 24

// Env returns the Env of a community, and founds it under name if it is new: first is true then. It also notes that the
// bot is back if its server had been left.
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

// Visit returns the Env of a community whose server another process serves. It founds nothing and does not take a
// server that was left for joined again.
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

// env makes the Env of a community and caches it.
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

// WithoutGroup returns an Env without a community, for answers that need none. It shares the remembered conversations,
// so that an emergency is recognised without a store, too.
func (c *All) WithoutGroup(log *slog.Logger) *commands.Env {
	return &commands.Env{Now: c.Now, Log: log, Conversations: &c.talk}
}

// kept is the cache of Envs. The caller holds c.mu.
func (c *All) kept() *cache.Cache[string, *commands.Env] {
	if c.envs == nil {
		c.envs = cache.Counted[string, *commands.Env](mostEnvs, 0, nil)
	}
	return c.envs
}

// Leave notes that the server of a community was left. An unknown ref is no error.
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

// Refs returns the refs of all communities in the store.
func (c *All) Refs(ctx context.Context) ([]string, error) {
	groups, err := c.Store.Groups(ctx)
	refs := make([]string, len(groups))
	for i, g := range groups {
		refs[i] = g.Ref()
	}
	return refs, err
}

// Erase erases the communities whose server was left longer ago than they keep their data, and returns how many.
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

// Of returns the communities that have somebody on their list of members, and the one chosen to answer their direct
// messages, "" for none.
func (c *All) Of(ctx context.Context, ref string) (refs []string, chosen string, err error) {
	return c.Store.CommunitiesOf(ctx, ref)
}

// AnswerDirect stores which community answers a member's direct messages. It stores nothing for somebody who is not on
// that community's list.
func (c *All) AnswerDirect(ctx context.Context, member, ref string) error {
	err := c.Store.AnswerDirect(ctx, member, ref)
	if errors.Is(err, knowledge.ErrNotFound) {
		return nil
	}
	return err
}

// OpenWelcomes returns the communities whose welcome has not been delivered yet.
func (c *All) OpenWelcomes(ctx context.Context) ([]string, error) {
	return c.Store.OpenNotices(ctx, knowledge.Welcome)
}
