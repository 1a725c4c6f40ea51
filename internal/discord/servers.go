package discord

import (
	"slices"
	"strings"
	"sync"

	"holdbench/internal/cache"
	"holdbench/internal/discord/api"
)

// servers holds what is known of the servers that the bot is in.
type servers struct {
	mu         sync.Mutex
	in         map[string]*server
	shards     int                          // in all processes together
	own        []int                        // those of this process; nil before that is known
	installers *cache.Cache[string, string] // by server: who added the bot
	told       *sync.Cond                   // signals a new name, owner or installer
	listed     chan struct{}                // closed once a shard's servers are known
}

type server struct {
	name, owner string
	trainerRole string // the id of the role that Settings.TrainerRole names, "" for none
}

func newServers() *servers {
	s := &servers{in: map[string]*server{}, installers: kept[string](1000), listed: make(chan struct{})}
	s.told = sync.NewCond(&s.mu)
	return s
}

// expect notes how many shards there will be, and which of them are this process's.
func (s *servers) expect(shards int, own []int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shards, s.own = shards, own
}

// elsewhere reports whether a server belongs to a shard of another process.
func (s *servers) elsewhere(id string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return isID(id) && len(s.own) > 0 && !slices.Contains(s.own, shardOf(id, s.shards))
}

// at returns the entry of a server, and makes it if there is none. The caller holds the lock.
func (s *servers) at(id string) *server {
	if s.in[id] == nil {
		s.in[id] = &server{}
	}
	return s.in[id]
}

// known returns what is known of a server; in is false if the bot is not in it, on one of this process's shards.
func (s *servers) known(id string) (one server, in bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.in[id] == nil {
		return server{}, false
	}
	return *s.in[id], true
}

// here reports whether the bot is in a server, on one of this process's shards.
func (s *servers) here(id string) bool {
	_, in := s.known(id)
	return in
}

// name is a server's name, or its id if the name is not known.
func (s *servers) name(id string) string {
	if one, _ := s.known(id); one.name != "" {
		return one.name
	}
	return "server " + id
}

// some returns all servers, or none if there are more than most.
func (s *servers) some(most int) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.in) > most {
		return nil
	}
	var ids []string
	for id := range s.in {
		ids = append(ids, id)
	}
	return ids
}

// Alone reports whether a server is the only one that the bot is in. With several shards that is not known, and it is
// false.
func (b *Bot) Alone(id string) bool {
	s := b.servers
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.shards == 1 && len(s.in) == 1 && s.in[id] != nil
}

// list replaces the servers of a shard by those that Discord lists.
func (s *servers) list(shard, count int, ids []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id := range s.in {
		if shardOf(id, count) == shard {
			delete(s.in, id)
		}
	}
	for _, id := range ids {
		s.at(id)
	}
	select {
	case <-s.listed: // closed by an earlier READY
	default:
		close(s.listed)
	}
}

// enter notes a server's name, owner and trainer role.
func (s *servers) enter(id string, n api.Node, trainers string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	one := s.at(id)
	one.name, one.owner = plain(n.At("name").Text(), 100), n.At("owner_id").Text()
	for _, role := range n.At("roles").Items() {
		one.note(role, trainers)
	}
	s.told.Broadcast()
}

// exit notes that the bot has left a server.
func (s *servers) exit(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.in, id)
}

// installedBy notes who added the bot to a server.
func (s *servers) installedBy(id, user string) {
	s.installers.Put(id, user)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.told.Broadcast()
}

// note notes whether a role is the trainer role. The caller holds the lock.
func (one *server) note(role api.Node, trainers string) {
	id, name := role.At("id").Text(), role.At("name").Text()
	switch {
	case trainers != "" && (id == trainers || strings.EqualFold(strings.TrimSpace(name), strings.TrimSpace(trainers))):
		one.trainerRole = id
	case id == one.trainerRole:
		one.trainerRole = "" // it was renamed
	}
}

// role notes a new or changed role.
func (s *servers) role(n api.Node, trainers string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if one := s.in[n.At("guild_id").Text()]; one != nil {
		one.note(n.At("role"), trainers)
	}
}

// Serves reports whether the bot is in a server, on one of this process's shards.
func (b *Bot) Serves(server string) bool { return b.servers.here(server) }

// Owner is the id of a server's owner, who is a trainer of its group; "" if the bot is not in it.
func (b *Bot) Owner(server string) string {
	one, _ := b.servers.known(server)
	return one.owner
}

// Listed is closed once Discord has listed the bot's servers.
func (b *Bot) Listed() <-chan struct{} { return b.servers.listed }
