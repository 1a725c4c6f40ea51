package commands

import (
	"sync"
	"time"

	"holdbench/internal/commands/urgent"
	"holdbench/internal/trade"
)

// How long a question is remembered, and of how many members: the project's choice.
// A phone is put down and taken up again within ten minutes; after that a short
// question may be about another gel.
const (
	rememberedFor  = 10 * time.Minute
	mostRemembered = 5000
)

// Conversations remember in memory alone what each member asked last at each place,
// so that a short question can be read as about it. They are safe for use by many
// goroutines at once. A nil *Conversations remembers nothing.
type Conversations struct {
	mu   sync.Mutex
	last map[speaker]turn
}

// speaker is one member at one place: what is remembered of one is never used for
// another.
type speaker struct{ place, ref string }

// turn is what a question was about.
type turn struct {
	at          time.Time
	group       string // the community that was asked: a member may ask two in one place
	combination trade.Combination
	pullML      float64     // as said, 0 for none
	ifYes       *Request    // what a yes asks for, nil for nothing
	urgent      urgent.Kind // what the turn told of

	open *openQuestion // a test that waits for an answer, nil for none
}

// recall is the last turn of whoever asks, the zero turn where none is remembered.
func (env *Env) recall(req Request) turn {
	c := env.Conversations
	if c == nil {
		return turn{}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	last := c.last[speaker{req.Place, req.Asker.Ref}]
	if age := env.Now().Sub(last.at); age < 0 || age >= rememberedFor || last.group != "" && last.group != env.ref() {
		return turn{}
	}
	return last
}

// remember keeps a turn in place of the last one. Where it is not known who asks
// and where, nothing is kept.
func (env *Env) remember(req Request, t turn) {
	c := env.Conversations
	if c == nil || req.Place == "" || req.Asker.Ref == "" {
		return
	}
	t.at = env.Now()
	if t.urgent == urgent.None {
		t.group = env.ref()
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.last == nil {
		c.last = map[speaker]turn{}
	}
	if len(c.last) >= mostRemembered {
		c.drop(t.at)
	}
	c.last[speaker{req.Place, req.Asker.Ref}] = t
}

// rememberAsked keeps what a question was about. A command that takes no pull leaves
// the one that was said of the same combination before.
func (env *Env) rememberAsked(req Request, a asked) {
	t := turn{combination: a.combination, pullML: a.pullML}
	last := env.recall(req)
	if t.pullML == 0 && req.cmd != nil && req.cmd.option("pull") == nil && pin(last.combination) == pin(t.combination) {
		t.pullML = last.pullML
	}
	env.remember(req, t)
}

// drop forgets what is too old by now, and everything if all of it is recent.
func (c *Conversations) drop(now time.Time) {
	for who, t := range c.last {
		if now.Sub(t.at) >= rememberedFor {
			delete(c.last, who)
		}
	}
	if len(c.last) >= mostRemembered {
		clear(c.last)
	}
}

// forget drops what is remembered of somebody, at every place.
func (c *Conversations) forget(ref string) {
	if c == nil {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for who := range c.last {
		if who.ref == ref {
			delete(c.last, who)
		}
	}
}

// ref is the community's, "" where there is none.
func (env *Env) ref() string {
	if env.Group == nil {
		return ""
	}
	return env.Group.Ref()
}
