package commands

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"holdbench/internal/knowledge"
)

// Communities gives each community of a platform its Env, and founds it on
// first sight.
type Communities struct {
	Store *knowledge.Store
	Now   func() time.Time
	Log   *slog.Logger

	// Found makes the community that a server has not got yet.
	Found func(ctx context.Context, ref, name string) (*knowledge.Group, error)

	mu   sync.Mutex
	envs map[string]*Env
}

// Env returns the Env of the community with that ref; first says that it has
// just been founded. name is what its members call it.
func (c *Communities) Env(ctx context.Context, ref, name string) (env *Env, first bool, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if env := c.envs[ref]; env != nil {
		return env, false, nil
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
	env = &Env{Group: group, Now: c.Now, Log: c.Log.With("community", ref)}
	if c.envs == nil {
		c.envs = map[string]*Env{}
	}
	c.envs[ref] = env
	return env, first, nil
}

// Leave notes that the server of a community was left. One that is not known is
// none of its concern.
func (c *Communities) Leave(ctx context.Context, ref string) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.envs, ref)
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
func (c *Communities) Refs(ctx context.Context) ([]string, error) {
	groups, err := c.Store.Groups(ctx)
	refs := make([]string, len(groups))
	for i, g := range groups {
		refs[i] = g.Ref()
	}
	return refs, err
}

// Erase erases the communities whose server was left longer ago than their days
// of keeping, and returns how many.
func (c *Communities) Erase(ctx context.Context) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	refs, err := c.Store.EraseDue(ctx)
	for _, ref := range refs {
		delete(c.envs, ref)
		c.Log.InfoContext(ctx, "erased after leaving", "community", ref)
	}
	return len(refs), err
}

// Of are the communities in which somebody is on the list.
func (c *Communities) Of(ctx context.Context, ref string) ([]string, error) {
	return c.Store.CommunitiesOf(ctx, ref)
}
