package commands

import (
	"sync"
	"time"

	"holdbench/internal/cache"
	"holdbench/internal/commands/urgent"
	"holdbench/internal/trade"
)

// How long a question is remembered, and of how many members (the project's choice). Somebody who puts a phone down
// takes it up again within ten minutes; after that a short question may be about another gel.
const (
	rememberedFor  = 10 * time.Minute
	mostRemembered = 5000
)

// Conversations remember what each member asked last in each place, so that a short question can be read as about it.
// Nothing is stored on disk. They are safe for concurrent use; the zero value is ready. A nil *Conversations remembers
// nothing.
type Conversations struct {
	made    sync.Once
	mu      sync.Mutex // held while a member's turns are replaced
	members *cache.Cache[string, map[string]turn]
}

// kept are the members who asked most recently, by Ref, each with the last turn in each place.
func (c *Conversations) kept() *cache.Cache[string, map[string]turn] {
	c.made.Do(func() {
		c.members = cache.New[string](mostRemembered, func(places map[string]turn) int { return 1 + len(places) })
	})
	return c.members
}

// turn is what a question was about.
type turn struct {
	at          time.Time
	group       string // the community that was asked: a member may ask two communities in one place
	combination trade.Combination
	pullML      float64     // as said, 0 for none
	urgent      urgent.Kind // the emergency it was about
	logged      int64       // the test that was logged, 0 for none or several

	open *openQuestion // what waits for an answer, nil for nothing
}

// old reports whether a turn is no longer remembered at a time.
func (t turn) old(now time.Time) bool { return now.Before(t.at) || now.Sub(t.at) >= rememberedFor }

// recall is the asker's last turn in this place, the zero turn where none is remembered. What one member said in one
// place is never used for another.
func (env *Env) recall(req Request) turn {
	if env.Conversations == nil {
		return turn{}
	}
	places, _ := env.Conversations.kept().Get(req.Asker.Ref)
	last := places[req.Place]
	if last.old(env.Now()) || last.urgent == urgent.None && last.group != env.ref() {
		return turn{}
	}
	return last
}

// remember keeps a turn instead of the last one. Where the asker or the place is unknown, it keeps nothing.
func (env *Env) remember(req Request, t turn) {
	c, now := env.Conversations, env.Now()
	if c == nil || req.Place == "" || req.Asker.Ref == "" {
		return
	}
	t.at = now
	if t.urgent == urgent.None {
		t.group = env.ref()
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	before, _ := c.kept().Get(req.Asker.Ref)
	places := map[string]turn{req.Place: t}
	for place, other := range before {
		if place != req.Place && !other.old(now) {
			places[place] = other
		}
	}
	c.kept().Put(req.Asker.Ref, places)
}

// rememberAsked keeps what a question was about. After a command that takes no pull, the pull that was named before for
// the same combination stays.
func (env *Env) rememberAsked(call *Call, a subject) {
	t := turn{combination: a.combination, pullML: a.pullML}
	takesNone := call.cmd.option("pull") == nil
	if last := env.recall(call.Request); t.pullML == 0 && takesNone && pin(last.combination) == pin(t.combination) {
		t.pullML = last.pullML
	}
	env.remember(call.Request, t)
}

// forget drops what is remembered of somebody, in every place.
func (c *Conversations) forget(ref string) {
	if c != nil {
		c.kept().Put(ref, nil)
	}
}

// ref is the community's, "" where there is none.
func (env *Env) ref() string {
	if env.Group == nil {
		return ""
	}
	return env.Group.Ref()
}
